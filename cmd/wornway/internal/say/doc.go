// Package say puts into sentences what several commands tell: what an answer takes for granted, what the wear rests on
// and how surveys agree, how a part is held, whether a tolerance is kept, and the cautions.
//
// Every sentence is made from values that come from elsewhere; nothing is reckoned here. Sentences of one answer alone
// stand beside that answer.
package say
