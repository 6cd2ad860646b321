// Package making tells a plan to make a part: what is best and how sure, why others are not, and the run sheet.
package making
