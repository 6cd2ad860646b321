// Package say puts into sentences what several commands tell: what an answer takes for granted, what the wear rests on
// and how surveys agree, how a part is held, whether a tolerance is kept, and the cautions.
//
// Every sentence is made from values that come from elsewhere; nothing is calculated here. Sentences of one answer
// alone stand beside that answer.
//
// # Where the formulas come from
//
// "Derived" means from the geometry, in the comment beside it, held by a test against an independent calculation.
//
//   - 95 % as the limit for a promise (internal/say/held.go): the default of ISO 14253-1, second-hand.
package say
