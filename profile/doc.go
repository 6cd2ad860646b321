// Package profile reads what is written down of one lathe: its geometry, its dials, the wear of its bed, readings taken
// of it, damage seen.
//
// [Read] reads and checks a profile; everything that is wrong with it comes back at once as document.Faults.
// [Profile.Estimate] gives the wear, [Lathe.Bed] the geometry by which it acts, and [Keys] describes each key of the
// file what it is and how to measure it. The bed's kinematics are in package bed, the wear's type in package wear, what
// wear does to work in package compensate.
//
// Inside, lengths are mm and angles radians; the file's own unit stays at the edge.
package profile
