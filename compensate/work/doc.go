// Package work says what is to be turned: a [Job] of one or more [Feature]s, each a length with a diameter and what is
// asked of it, and the [Part] that they belong to: its stock, how it may be held and how it is cut.
//
// It knows neither lathe nor wear. Lengths are mm, forces newtons. How the work bends and about which axis it turns
// belong to the packages above.
package work
