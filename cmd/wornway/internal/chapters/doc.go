// Package chapters calculates the numbers of the lesson's page and tells its chapters. The page itself, which only
// looks them up, is package lesson's.
package chapters
