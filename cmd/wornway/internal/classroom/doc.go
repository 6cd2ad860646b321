// Package classroom has an exercise's sheets, its solution, and the marks for what a class answers.
package classroom
