// Package ways answers what is known of the bed itself: its wear with every ± and how the surveys agree, which slips
// would explain them, what the wear does to usual lengths and whether a regrind would be noticed, what a survey to come
// would leave, and what has changed between two states of a bed.
package ways
