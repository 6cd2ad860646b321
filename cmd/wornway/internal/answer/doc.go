// Package answer describes what commands answer: each value once, for people, as CSV and as JSON.
package answer
