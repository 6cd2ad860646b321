// Package compensate begins where the bed's kinematics end: at the tool, relative to the axis about which the work
// turns.
//
// A [Machine] is a lathe's geometry, its wear and the work's axis. [Machine.Curve] gives the [Curve] of the diameter
// error of a [Cut] along its length; from it come the error at a position with every step that led to it
// ([Curve.Station]), extremes over the continuous length ([Curve.Extremes]), taper and form ([Curve.Taper]), what is
// known of their uncertainty ([Curve.Sample]), the dial corrections ([Curve.Correct]) and, over the bed, the best place
// for a length ([Machine.Place]).
//
// Lengths are mm and angles radians; positions count from the spindle nose toward the tailstock. A diameter error is
// plus when the work is oversize, a bore too. It leaves out the give of work, tool and machine under the cut, heat, and
// the wear of the tool.
package compensate
