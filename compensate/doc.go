// Package compensate begins where the bed's kinematics end: at the tool, relative to the axis about which the work
// turns.
//
// A [Machine] is a lathe's geometry, its wear and the work's axis. [Machine.Curve] gives the [Curve] of the diameter
// error of a [Cut] along its length; from it come the error at a position with every step that led to it
// ([Curve.Station]), extremes over the continuous length ([Curve.Extremes]), taper and form ([Curve.Taper]) and what is
// known of their uncertainty ([Curve.Sample]). [Machine.Correct] makes the dial corrections of it, and [Machine.Place]
// looks over the bed for the best place for a length.
//
// Lengths are mm and angles radians; positions count from the spindle nose toward the tailstock. A diameter error is
// plus when the work is oversize, a bore too. It leaves out the give of work, tool and machine under the cut, heat, and
// the wear of the tool.
//
// # Extremes
//
// The extremes deserve a word. On each stretch between two knots, as the saddle's ends see them, the error is very
// nearly a polynomial. It is sampled at seven points; the Bernstein coefficients of the polynomial through them bound
// it. A stretch whose bounds cannot beat what was found is dropped, any other is halved. A point between the nodes is
// checked, and where the polynomial does not fit there, the stretch is halved first. So no peak between two printed
// rows is missed, and long profiles stay quick.
//
// # Where the formulas come from
//
// "Derived" means from the geometry, in the comment beside it, held by a test against an independent calculation.
//
//   - extremes over a continuous length (compensate/smooth.go): a polynomial lies within its Bernstein coefficients;
//     halving by de Casteljau.
//   - integrals along a cut (compensate/smooth.go): Clenshaw and Curtis.
//   - least-squares line (compensate/taper.go): running means; tested against NIST's certified values (StRD, Norris).
//   - range of spread, probability of a tolerance (compensate/sample.go, evenness.go): Monte Carlo propagation, JCGM
//     101; the shares of a length's change against quadrature.
//   - fewest settings (compensate/moves.go): greedy, with the proof in the comment of shortest; tested against brute
//     force.
//   - best place (compensate/track.go, slide.go, place.go): the spread at each start, exactly, from the few stretches
//     whose limits (Bernstein coefficients, in a tree) could hold an extreme; tested against brute force.
//   - taper anywhere on the bed (compensate/track.go, spans.go): moments of the motion, joined; derived; tested against
//     the line of the whole curve.
//   - how worn a lathe is (compensate/condition.go): first limit from Schlesinger and a textbook, second-hand, the
//     others ours: how many settings bring an even taper back to it; tested on made-up lathes after ten minutes
//     (profile/study/verdict_test.go, chosen on seeds 5 and 20260314, judged on 880123).
//   - a cut against its prediction (compensate/check.go, profile/accord/accord.go): E_n after ISO 13528 and ISO/IEC
//     17043, from memory; chi-square with the full covariance; tested by hand, against ISO/TS 28037's line, and by
//     simulation.
package compensate
