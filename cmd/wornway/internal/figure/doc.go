// Package figure has what the plots of several answers share: their title, the axis along the bed, and the curve of a
// length's error with its ±. What a plot of one answer shows beside it stands with that answer.
package figure
