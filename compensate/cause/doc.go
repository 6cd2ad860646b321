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
//
// # Where the formulas come from
//
// "Derived" means from the geometry, in the comment beside it, held by a test against an independent calculation.
//
//   - which cause explains cuts (compensate/cause/columns.go, evidence.go): forward models derived, in the comments;
//     marginal likelihood of a linear model with normal and half-normal sizes, derived; tested by hand against the
//     look-alikes of the trade, by quadrature, and on made-up machines.
//   - what would tell two causes apart (compensate/cause/tell.go): symmetrised divergence after Kullback and Leibler
//     (1951), from memory, of what both foresee.
//
// # How causes are told apart, and how often that came true
//
// Several cuts, or --cause, go to internal/testcut/cause.go and from there to cause.Find. It takes surveys as equations
// (survey.Set), so that a level or a bar read since counts like a cut, and takes out their zeros by differences. The
// readings less their prediction are normal, with the covariance of the wear; each cause is a column in them with a
// normal or half-normal size, wider now and then (stretches), since something may be far worse than usual. That the
// uncertainty of the wear may be too small is averaged over (widths): without it, a bed of an unusual form passes for
// something else. Where the bed has worn on, what is not known of its wear has grown with it. Radius read for diameter
// and a level read the wrong way are whole other predictions; the latter weighs by estimate.Slips as well. Tell ranks
// the candidates of profile.Further by how far the two best explanations come apart in them. Push-off is given by its
// own column here and not by the free term of held_at. Tailstock ways are left out: their wear at one place of
// the tailstock is set-over or height.
//
// go test ./profile/study -run CauseFound -study -v hides causes in made-up machines, makes two cuts and then, while
// nothing is found, the cut or reading that Tell puts first, five at most. -seed gives other machines. The finder was
// tuned on the seeds 4711 and 9001 (and, before, on the usual one); 5150 and 6226 were tried after that. Of 300
// machines; strong are sizes of half to twice what is usual, and the bins are what was stated → what came true.
//
//	seed, sizes  | decided after two cuts, after five | right | right of those with a cause | bins
//	usual all    | 53, 127 | 121 | 117 of 194 | .033 → .038, .30 → .29, .51 → .44, .67 → .68, .952 → .945
//	5150  all    | 66, 141 | 135 | 133 of 200 | .033 → .040, .29 → .27, .50 → .47, .67 → .62, .957 → .942
//	6226  all    | 49, 127 | 125 | 117 of 192 | .033 → .042, .29 → .30, .50 → .36, .66 → .60, .954 → .964
//	usual strong | 75, 177 | 176 | 171 of 194 | .030 → .019, .29 → .32, .51 → .56, .67 → .81, .957 → .975
//	5150  strong | 67, 178 | 173 | 168 of 200 | .031 → .028, .29 → .24, .52 → .58, .68 → .71, .959 → .959
//	6226  strong | 74, 171 | 168 | 162 of 192 | .031 → .025, .28 → .30, .49 → .52, .67 → .72, .957 → .974
//
// Of causes as they come all bins lie within 2.7 standard errors. In a quarter of the machines nothing is wrong, which
// is never sure, and in a tenth it is something else; of the others about six in ten are decided. Of strong causes more
// than eight in ten are; there the finder is a little too cautious (the first bin of the usual seed by 3.5 standard
// errors), as it allows for weak causes that this set leaves out. What brought the bins in: one bump somewhere as
// what something else mostly is (somethingElse), a survey that may be better than its ± as well as worse (widths), and
// three in a hundred for what no model allows for (unmodelled).
package cause
