package accord_test

import (
	"fmt"

	"gonum.org/v1/gonum/mat"

	"wornway/profile/accord"
)

// Two differences, each as great as its own standard uncertainty: chi-square is 2 with two degrees of freedom, whose
// probability is exp(−1).
func ExampleTest() {
	r, err := accord.Test([]float64{0.002, -0.003}, mat.NewDiagDense(2, []float64{4e-6, 9e-6}))
	fmt.Printf("%.3f of %d, probability %.4f, %v\n", r.ChiSquare, r.Freedom, r.Probability, err)
	// Output:
	// 2.000 of 2, probability 0.3679, <nil>
}
