package survey

import (
	"fmt"
	"math"
	"slices"

	"wornway/profile/document"
	"wornway/profile/wear"
)

// Method is one way of surveying a bed.
type Method struct {
	Name    string
	Columns []string // that each row needs
	Words   []string // those of them that hold words
	Also    []string // columns that may stand there too
	Level   bool     // readings are divisions of a level
	Runs    bool     // rows are plain readings along the bed, of which neighbours may be averaged
	U       float64  // standard uncertainty of a reading where none is given, mm; divisions for a level
	Why     string   // the reason for U
	Unseen  string   // what it cannot see, in a sentence
	// New reads the method's keys and returns what makes equations of a row.
	New func(k *Keys) func(r Row) []Equation
}

// Row is one row of readings as written, in the order of Keys.Columns.
type Row struct {
	Number  int // from 1
	Numbers []float64
	Words   []string
	Count   int // of readings averaged; 1 for a row as written
}

// Set is one survey as equations.
type Set struct {
	Method    Method
	Terms     []Term
	Equations []Equation
	Scale     float64 // mm or radians in one unit of a reading
	Rows      int     // rows as written
	U         float64 // standard uncertainty of one reading as stated, or as is usual; mm or radians
	// standard deviation of one reading, from there and back, mm or radians; NaN where there was no way back
	Repeat float64

	Reach wear.Reach // how far apart errors of stated drops go together; 0: of another method

	reading *Reading // what it was made of, for its slips; nil for a set put together otherwise
}

// Methods returns all methods, in the order in which a turner would come to them.
func Methods() []Method {
	return []Method{
		stated(), carriageLock(), lightGap(), straightedge(), carriageIndicator(), tailstockIndicator(),
		wayMicrometer(),
		levelAlong(), levelAcross(), saddleLevel(), saddleRock(), barSide(), barTop(), testCut(),
	}
}

// Find returns the method of that name.
func Find(name string) (Method, bool) {
	ms := Methods()
	i := slices.IndexFunc(ms, func(m Method) bool { return m.Name == name })
	if i < 0 {
		return Method{}, false
	}
	return ms[i], true
}

// Known returns the names of the columns that rows of the method may have.
func (m Method) Known() []string { return append(slices.Clone(m.Columns), m.Also...) }

// Stretches says whether a row stands for a stretch of the bed, from one position to another, and not for a place.
func (m Method) Stretches() bool { return slices.Contains(m.Columns, "from") }

// Read turns a survey's keys and rows into equations. The keys' faults are in the document; rows that cannot be used
// are given to add.
func Read(m Method, k Keys, rows *document.Rows, add func(document.Fault)) Set {
	r := Begin(m, k, rows.Columns)
	r.Add(rows, add)
	return r.Set()
}

// Reading is a survey while its rows come in, so that a long run need not be held.
type Reading struct {
	keys      Keys
	equations func(Row) []Equation
	rows      []Row // while they are few
	bins      []Row // afterwards: neighbours averaged
	count     int
	back      scatter
}

// Begin reads a survey's keys, with the columns of its rows.
func Begin(m Method, k Keys, columns []string) *Reading {
	k.method, k.Columns = m, columns
	k.readings()
	r := &Reading{keys: k}
	r.equations = m.New(&r.keys)
	return r
}

// Add takes rows; those that cannot be used are given to add.
func (r *Reading) Add(rows *document.Rows, add func(document.Fault)) {
	for i := range rows.Len() {
		row := Row{Number: rows.Before + i + 1, Numbers: rows.Row(i), Count: 1}
		if len(r.keys.method.Words) > 0 {
			row.Words = make([]string, rows.Width())
			for c := range rows.Width() {
				row.Words[c] = rows.Text(i, c)
			}
		}
		if message, hint := unusable(&r.keys, row); message != "" {
			add(rows.Fault(i, -1, message, hint))
			continue
		}
		r.count++
		r.back.take(&r.keys, row)
		r.take(row)
	}
}

// Set returns the survey's equations.
func (r *Reading) Set() Set {
	s := Set{Method: r.keys.method, Scale: r.keys.scale, Rows: r.count, U: r.keys.u,
		Repeat: r.back.repeat() * r.keys.scale,
		Reach:  r.keys.reach}
	r.keys.count = r.count
	r.keys.rows = slices.DeleteFunc(append(r.rows, r.bins...), func(row Row) bool { return row.Count == 0 })
	for _, row := range r.keys.rows {
		for _, e := range r.equations(row) {
			e.Row = row.Number
			s.Equations = append(s.Equations, e)
		}
	}
	s.Terms = r.keys.terms
	s.reading = r
	return s
}

// Position returns the row's position, mm.
func (k *Keys) position(r Row) float64 { return k.Unit.ToMM(r.Numbers[k.Column("position")]) }

// reading returns a row's reading in mm or radians: the mean of there and back, less the reference. Its uncertainty is
// that of the mean.
func (k *Keys) reading(r Row) (value, u float64) {
	value, u = r.Numbers[k.Column("reading")], k.u
	if i := k.Column("back"); i >= 0 && !math.IsNaN(r.Numbers[i]) {
		value = (value + r.Numbers[i]) / 2
		u /= math.Sqrt2
	}
	if i := k.Column("reference"); i >= 0 && !math.IsNaN(r.Numbers[i]) {
		value -= r.Numbers[i]
	}
	return value * k.scale, u / math.Sqrt(float64(max(r.Count, 1)))
}

// scatter gathers the differences of there and back.
type scatter struct{ n, mean, squares float64 }

func (s *scatter) take(k *Keys, r Row) {
	there, back := k.Column("reading"), k.Column("back")
	if there < 0 || back < 0 || math.IsNaN(r.Numbers[back]) {
		return
	}
	d := r.Numbers[there] - r.Numbers[back]
	s.n++
	step := d - s.mean
	s.mean += step / s.n
	s.squares += step * (d - s.mean)
}

// repeat returns the standard deviation of one reading, the drift between there and back taken out as the mean of their
// differences; NaN where there are too few.
func (s *scatter) repeat() float64 {
	if s.n < 3 {
		return math.NaN()
	}
	return math.Sqrt(s.squares / (s.n - 1) / 2)
}

// unusable says what is wrong with a row that no reader of numbers could have seen.
func unusable(k *Keys, r Row) (message, hint string) {
	const most = 1e7 // of any unit
	for i, v := range r.Numbers {
		if math.Abs(v) > most {
			return fmt.Sprintf("%s %v is more than any lathe has", k.Columns[i], v), "check the number and its unit"
		}
	}
	if i := k.Column("reference"); i >= 0 && math.IsNaN(r.Numbers[i]) {
		return "the reference was not read, which the other rows are counted from",
			"write what it read, or leave the row out"
	}
	if i := k.Column("goes"); i >= 0 {
		if j := k.Column("stops"); j >= 0 && !(r.Numbers[i] >= 0 && r.Numbers[i] < r.Numbers[j]) {
			return "the leaf that goes must be thinner than the one that does not", "write 0 for goes where none goes"
		}
	}
	if i := k.Column("from"); i >= 0 {
		if j := k.Column("to"); j >= 0 && !(r.Numbers[i] < r.Numbers[j]) {
			return "from must be nearer to the headstock than to", "from and to are where the level's two feet stand"
		}
	}
	if i := k.Column("feel"); i >= 0 {
		if f := r.Numbers[i]; f != 0 && f != 1 && f != 2 && f != 3 {
			return "feel must be 0, 1, 2 or 3", "0 free, 1 drags, 2 tight, 3 will not move"
		}
	}
	if i := k.Column("light"); i >= 0 && r.Words[i] != "none" && r.Words[i] != "some" && r.Words[i] != "wide" {
		return "light must be \"none\", \"some\" or \"wide\"", "what is seen between edge and way against a lamp"
	}
	if i := k.Column("diameter"); i >= 0 && !(r.Numbers[i] > 0) {
		return "the diameter must be greater than zero", "write what the micrometer read"
	}
	return "", ""
}

// fewRows is how many rows of a run are taken one by one. Of a longer run neighbours are averaged, in so many bins over
// the bed, so that neither memory nor the work to come grows with its length.
const fewRows = 2000

func (r *Reading) take(row Row) {
	switch {
	case r.bins != nil:
		r.bin(row)
	case !r.keys.method.Runs || len(r.rows) < fewRows:
		row.Numbers = slices.Clone(row.Numbers)
		r.rows = append(r.rows, row)
	default:
		r.bins = make([]Row, fewRows)
		for _, before := range r.rows {
			r.bin(before)
		}
		r.rows = nil
		r.bin(row)
	}
}

// bin adds a row to the mean of its bin. A cell left empty in one row is left empty in the mean.
func (r *Reading) bin(row Row) {
	from, to := r.keys.Ways[0], r.keys.Ways[1]
	part := (r.keys.position(row) - from) / (to - from)
	b := &r.bins[min(max(int(part*fewRows), 0), fewRows-1)]
	if b.Count == 0 {
		b.Number, b.Numbers = row.Number, make([]float64, len(row.Numbers))
	}
	b.Count++
	for c, v := range row.Numbers {
		b.Numbers[c] += (v - b.Numbers[c]) / float64(b.Count)
	}
}
