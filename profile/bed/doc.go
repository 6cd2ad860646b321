// Package bed is the kinematics of a worn lathe bed: how its ways carry the saddle and how the saddle carries the tool
// point.
//
// Start with [Lathe]: its ToolOut and ToolDrop say how far wear carries the tool point away from the spindle's axis and
// down, as weights ([Sum]) on the wear curves. [V] turns metal lost from the flanks of a V way into drop and shift.
// [Setting] turns the tool point's place into a radius.
//
// Everything here is linear in the wear but [Rock], the one thing that tells how the saddle sits, and Setting.Radius, which
// is exact. Lengths are mm, angles radians. It leaves
// out the elastic give of ways and saddle under the cut, the gibs' play, and the wear of the saddle itself.
package bed
