// Package study tries the estimate of wear on beds whose wear is known, because they are made up.
//
// It holds tests only. Beds, saddles, readings and work are worked out here from first principles, by code that shares
// nothing with the packages on trial; the only way from one to the other is a profile's text, as a turner would write
// it. What is counted is whether the stated ± is honest: how often the true diameter error lies within it, whether
// stated probabilities come true, how much each further survey helps, and what goes wrong where part of the model is
// left out.
//
// The ordinary tests take some eighty beds. The full study takes two thousand, keeps its results under testdata/study,
// and is run by
//
//	go test ./profile/study -run Study -study -timeout 4h
//
// All data are invented.
package study
