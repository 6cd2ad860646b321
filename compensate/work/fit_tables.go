package work

// Where limits are from. The standard itself was not read.
const (
	fromGrades  = "ISO 286-1's table of standard tolerances, in three secondary copies that agree"
	fromSets    = "ISO 286's fundamental deviations, in secondary copies that agree (seven open data sets or more)"
	fromTwoSets = "ISO 286's fundamental deviations, in two secondary copies that agree (open data sets)"
	fromMemory  = "from memory; held against no copy of the standard"
)

// grades are the first and the last grade for which a letter is given here.
var grades = map[string][2]int{"e": {5, 12}, "f": {5, 12}, "g": {4, 9}, "h": {4, 12}, "js": {4, 12}, "k": {4, 7},
	"m": {4, 9}, "n": {4, 9}, "p": {4, 9}, "r": {4, 9}, "s": {4, 9}}

// stepEnds are the ends of the ranges of nominal diameters for which the standard gives one set of values, mm: over
// what the one before ends with, up to and including this.
var stepEnds = []float64{3, 6, 10, 18, 30, 50, 80, 120, 180, 250, 315, 400, 500}

const firstGrade = 4

// steps are the standard tolerances IT4 to IT12 of ISO 286-1, µm, by the steps of diameter. IT5 to IT11: three
// secondary copies agree on every value. IT4 and IT12: the columns h4 and h12 of two toolmakers' catalogues; IT12 over
// 315 mm is from memory. The formula behind the values (multiples of i = 0.45∛D + 0.001·D) does not give them back,
// since the standard rounds in ways of its own: more than a third of them differ. So it only checks them, in a test.
var steps = [][9]float64{
	{3, 4, 6, 10, 14, 25, 40, 60, 100},
	{4, 5, 8, 12, 18, 30, 48, 75, 120},
	{4, 6, 9, 15, 22, 36, 58, 90, 150},
	{5, 8, 11, 18, 27, 43, 70, 110, 180},
	{6, 9, 13, 21, 33, 52, 84, 130, 210},
	{7, 11, 16, 25, 39, 62, 100, 160, 250},
	{8, 13, 19, 30, 46, 74, 120, 190, 300},
	{10, 15, 22, 35, 54, 87, 140, 220, 350},
	{12, 18, 25, 40, 63, 100, 160, 250, 400},
	{14, 20, 29, 46, 72, 115, 185, 290, 460},
	{16, 23, 32, 52, 81, 130, 210, 320, 520},
	{18, 25, 36, 57, 89, 140, 230, 360, 570},
	{20, 27, 40, 63, 97, 155, 250, 400, 630},
}

// hanging are the shafts' upper deviations, µm, by the steps: secondary copies, seven or more open data sets that
// agree, and printed examples that a test names.
var hanging = map[string][]float64{
	"e": {-14, -20, -25, -32, -40, -50, -60, -72, -85, -100, -110, -125, -135},
	"f": {-6, -10, -13, -16, -20, -25, -30, -36, -43, -50, -56, -62, -68},
	"g": {-2, -4, -5, -6, -7, -9, -10, -12, -14, -15, -17, -18, -20},
}

// standing are the shafts' lower deviations, µm, by the steps, from the same copies. k is that of the grades 4 to 7.
var standing = map[string][]float64{
	"k": {0, 1, 1, 1, 2, 2, 2, 3, 3, 4, 4, 4, 5},
	"m": {2, 4, 6, 7, 8, 9, 11, 13, 15, 17, 20, 21, 23},
	"n": {4, 8, 10, 12, 15, 17, 20, 23, 27, 31, 34, 37, 40},
	"p": {6, 12, 15, 18, 22, 26, 32, 37, 43, 50, 56, 62, 68},
}

// narrowEnds are the ends of the narrower steps that r and s have over 50 mm, and narrow their lower deviations, µm:
// two open data sets that agree.
var (
	narrowEnds = []float64{3, 6, 10, 18, 30, 50, 65, 80, 100, 120, 140, 160, 180, 200, 225, 250, 280, 315, 355, 400,
		450, 500}
	narrow = map[string][]float64{
		"r": {10, 15, 19, 23, 28, 34, 41, 43, 51, 54, 63, 65, 68, 77, 80, 84, 94, 98, 108, 114, 126, 132},
		"s": {14, 19, 23, 28, 35, 43, 53, 59, 71, 79, 92, 100, 108, 122, 130, 140, 158, 170, 190, 208, 232, 252},
	}
)

// m6Exception is the upper deviation of M6 over 250 to 315 mm, µm, which the standard sets apart from its own rule
// (−20 + Δ would be −11). From memory.
const m6Exception = -9.0
