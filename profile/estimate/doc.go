// Package estimate makes one estimate of a bed's wear out of any number of surveys.
//
// [Estimate] takes the equations that package survey makes of readings and returns a wear.Wear with its full
// covariance, how each survey agrees with it, and what no reading determines. Everything is one linear model: the
// curves' values at knots, the bed's twist, the spindle's lean and what each survey leaves open are unknown, readings
// are weighted sums of them with a standard uncertainty. What is known beforehand is weak and written down in prior.go:
// wear is smooth, there is none where the ways are unworn, and little on the tailstock ways. How strong and how smooth
// it is, is not taken as known but averaged over (average.go). Lengths are mm, angles radians.
//
// Source of the method: Gaussian process regression with explicit basis functions, C. E. Rasmussen and C. K. I.
// Williams, Gaussian Processes for Machine Learning (2006), section 2.7, from memory; the sums are derived here.
//
// # How it goes on
//
// profile/survey holds one file for each way of measuring, with its equation in the comment at its top. A method reads
// its keys and turns each row into linear equations on the wear curves and on what the survey leaves open, such as its
// zero. A long run is read a few thousand rows at a time, and neighbours are averaged in two thousand bins over the
// bed, so that neither memory nor the work to come grows with it. A gap under an edge and the feel of a lock are limits
// and not values.
//
// profile/estimate solves the equations of all surveys at once, stated wear being one survey more:
//
//  1. problem.go puts the unknowns in order (curves at up to a hundred knots, twist, leans, slopes of the tailstock
//     ways, what each survey leaves open) and turns each equation into a row divided by its uncertainty. Where there
//     are more rows than unknowns, condense.go solves for the zeros and makes as few rows as say the same.
//  2. prior.go holds all that is taken as known before anything is read: how strong wear is and over which length it
//     changes, that front and rear wear alike, that unworn stretches are not worn. The datum conditions the prior once
//     for all strengths; as readings of zero it would speak for little wear everywhere. Most of the wear is smooth
//     (Matérn, ν = 5/2); a share of it changes over 30 mm, the more the steeper the wear is there by a first estimate
//     (steep.go): edges lie where wear begins and ends. Wear is strongest in the bed's first third from the spindle and
//     dies out to both sides (usualAt), so that what no reading tells does too. How alike front and rear wear is
//     averaged over (0.3 to 0.99 as a correlation). Equal wear of both flanks shifts an unequal V with its drop
//     (bed.V.Follows); the shift's own strength is of what the flanks wear apart. lost.go: metal is only lost. Of each
//     point's curves only those count that are nowhere more than 4 µm above new, at ten places of each way; the point's
//     weight carries the share that complies after the readings over the share before, and mean and covariance are
//     those of what complies (draws by sequential conditioning, on a fixed lattice).
//  3. space.go and solve.go: for known strengths the readings are normal with a covariance; nothing is known of the
//     zeros beforehand, and they are projected out. Everything is solved in the space of the rows, whose covariance has
//     1 on its diagonal for each reading's own uncertainty: it cannot be ill-conditioned. The same solver reproduces
//     NIST's and ISO/TS 28037's lines.
//  4. sides.go stands in for limits by values that have the same effect (expectation propagation); readings that are
//     not quite linear (Equation.Exact) are moved by what they are off at the estimate. Both are repeated at the most
//     probable strengths.
//  5. average.go averages over strengths and reach: for each reach the most probable strengths, and a cubature of
//     eleven points about them, weighted by their posterior density. Taking the best as known makes every ± too small.
//     One of the strengths is a factor by which all readings are worse than stated, never better. It is done twice:
//     with room for an edge anywhere, for the wear and its ±, and with smooth wear, for what is asked of a whole length
//     (compensate.Curve.Sample), since edges do not lie everywhere along it at once. mixture.go puts the points
//     together; the latter stay a mixture of four parts (wear.Case), each with the covariance that its points had
//     before anything was read. A length may be even all the same where the bed is not: compensate/evenness.go lets its
//     error change by a third, a fifth, a twentieth or half as much again of what the bed's strength would have it, and
//     weighs these shares by how probable each makes the readings there (a Gaussian before and after, taken apart into
//     independent parts, so that the weights are in closed form). Tuned on beds of the seeds 5512 and 8123 (-seed),
//     judged on those of the usual one, and moved a little once after that: a first choice had one of five bins off by
//     3.2 standard errors there. What is drawn has the long tails of Student's distribution (tailFreedom in
//     compensate/joint.go): one strength and reach for all of a bed make a length surer than it is.
//  6. trust.go doubts readings and surveys before that: a reading far off by what the others leave of it is set aside;
//     a survey at odds with the others counts with a greater uncertainty. settle in estimate.go goes through it: where
//     it is not clear which survey to doubt, each is doubted in turn and the answer is the mixture; so is each of two
//     readings that are only compared with each other (rivals.go).
//  7. slips.go tries the slips that survey.Set.Slips knows, by the evidence for all readings once each is undone; only
//     wear asks for it, and profile.Deciding which survey would tell where it cannot. highspot.go says where a way
//     would have grown. That a bed is as good as new, with readings better than their ±, is one explanation among
//     them; a slip that changes nothing that could be read is none. The sign of a level that is all that was read is
//     always looked at.
//     That a stretch taken as unworn is worn is another, named before any slip. Wear as usual is looked for as well as
//     wear near that of the readings as written; and an explanation has to gain where wear has room for an edge too.
//     range.go: limits of a drop where its ± would have the way grown; depth.go those of the greatest drop of either
//     way, wherever it is; wear.Skewed of an error that a stiff saddle moves to one side only.
//  8. agreement.go holds each reading against what all others say of it, blindspot.go each ± against what it was
//     before.
//
// What a survey to come would leave is foreseen in next.go. For each point of the mixture the covariance shrinks by the
// survey's equations, whatever they read (foresight.go). How the readings weigh the points anew is drawn a few dozen
// times (left.go), and how much a limit cuts away is taken from what the mixture thinks possible (cut.go). Without any
// readings the strengths stand at their usual values, as an average over all that a bed may be would be that of one
// worn out. profile/candidates.go and design.go choose the stations, expected.go the readings that stand in for those
// to come.
//
// profile/study makes beds, readings and parts with code of its own and asks whether the truth lies within the ±.
// Change prior.go only with it: its results are kept in testdata/study/results.md, and its short form runs with every
// test. Change next.go and its neighbours only with TestForeseen, whose results are in testdata/study/ahead.md. go test
// ./profile/study -run Slips -study tries the slips.
//
// # Where the formulas come from
//
// "Derived" means from the geometry, in the comment beside it, held by a test against an independent calculation.
//
//   - wear from readings (survey/.go, estimate/.go): equations derived, each in its file; Gaussian process regression
//     with flat terms after Rasmussen and Williams (2006), from memory; tested against NIST StRD, GUM H.3, ISO/TS 28037
//     and published straightness problems.
//   - what a survey to come would leave (estimate/next.go, left.go, cut.go): expected posterior of a Bayesian design,
//     D. V. Lindley (1956), from memory, derived for a mixture; held against the estimate for known strengths and
//     against made-up beds.
package estimate
