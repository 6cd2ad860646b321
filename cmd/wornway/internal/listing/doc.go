// Package listing tells what a profile's file holds, key by key, and which commands it is enough for.
//
// Report is the answer of show; Lathe lists the values of a lathe, which compare holds side by side.
package listing
