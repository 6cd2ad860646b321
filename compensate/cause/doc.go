// Package cause asks which cause explains cuts that were made differently: the bed as it was surveyed, wear since then,
// twist, a spindle that leans, a tailstock set over or at another height, work that is pushed off, differences noted on
// radius, a level read the wrong way round, or nothing of these.
//
// Each cause is a forward model: a column that says what one unit of it makes of every reading ([Kind], columns.go).
// What is known of its size beforehand is a normal density, or the half of one where a cause can only go one way. The
// readings less their prediction are normal too, with the covariance of the wear behind the prediction, so that the
// evidence for each cause, alone and in pairs, is had in closed form (evidence.go). [Find] makes probabilities of it,
// and [Result.Tell] says which further cut or reading would tell the two best explanations apart.
//
// It leaves out what no file of a cut says: where the tailstock stood, how the chuck gives, heat, and a tool that wears
// along the cut.
package cause
