// Package bed is the kinematics of a worn lathe bed: how its ways carry the saddle and how the saddle carries the tool
// point.
//
// Start with [Lathe]: its ToolOut and ToolDrop say how far wear carries the tool point away from the spindle's axis and
// down, as weights ([Sum]) on the wear curves. [V] turns metal lost from the flanks of a V way into drop and shift.
// [Setting] turns the tool point's place into a radius.
//
// Everything here is linear in the wear but [Rock], the one thing that tells how the saddle sits, and Setting.Radius,
// which is exact. Lengths are mm, angles radians. It leaves out the elastic give of ways and saddle under the cut, the
// gibs' play, and the wear of the saddle itself.
//
// # Where the formulas come from
//
// "Derived" means from the geometry, in the comment beside it, held by a test against an independent calculation.
//
//   - metal lost from two flanks → drop and shift, and back (bed/vee.go): derived: the saddle's V goes on touching
//     both flanks.
//   - depth of the point about which a V rolls (bed/vee.go): derived: the triangle of the two normals.
//   - saddle on two ends, or along its length; pitch and yaw at the tool (bed/saddle.go): derived; tested against a
//     rigid body set down on the ways.
//   - roll, tool out, tool down (bed/lathe.go): derived; tested against an exact rotation.
//   - radius from the tool's point, exactly (bed/radius.go): derived (Pythagoras), written so that digits survive.
//   - axis between centres, and in chuck and centre (bed/base.go, setup/setup.go): derived: the base rolls on its own
//     ways as the saddle does; work in the jaws is bent to the centre as a held end is. Tested by hand, and on the
//     set-over of a worked example.
package bed
