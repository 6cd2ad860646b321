// Package jobfile reads what is written down of a part to be turned: its stock, how it may be held, the finishing cut,
// and what is asked of each feature.
//
// [Parse] checks a job file and returns a [File], or document.Faults with everything that is wrong at once.
// [Keys] describes each key what it is and how a turner decides it; [Template] writes a file to fill in. The job itself
// is in package work: it knows no lathe, and whether a lathe can hold it is for others to say.
//
// Inside, lengths are mm and forces newtons; the file's own unit stays at the edge.
package jobfile
