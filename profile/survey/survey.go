package survey

import (
	"math"
	"slices"

	"wornway/profile/document"
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
	Repeat    float64 // standard deviation of one reading, from there and back, mm or radians; NaN where there was no way back
}

// Methods returns all methods, in the order in which a turner would come to them.
func Methods() []Method {
	return []Method{
		stated(), carriageLock(), lightGap(), straightedge(), carriageIndicator(), tailstockIndicator(), wayMicrometer(),
		levelAlong(), levelAcross(), saddleLevel(), barSide(), barTop(), testCut(),
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

// Read turns a survey's keys and rows into equations. The keys' faults are in the document; rows that cannot be used are added to them.
func Read(m Method, k Keys, rows *document.Rows, add func(document.Fault)) Set {
	k.method, k.Columns = m, rows.Columns
	k.readings()
	equations := m.New(&k)
	s := Set{Method: m, Scale: k.scale, Rows: rows.Len(), Repeat: repeat(&k, rows)}
	for _, r := range condensed(m, rows) {
		if message, hint := unusable(m, &k, r); message != "" {
			add(rows.Fault(r.Number-1, -1, message, hint))
			continue
		}
		for _, e := range equations(r) {
			e.Row = r.Number
			s.Equations = append(s.Equations, e)
		}
	}
	s.Terms = k.terms
	return s
}

// Position returns the row's position, mm.
func (k *Keys) position(r Row) float64 { return k.Unit.ToMM(r.Numbers[k.Column("position")]) }

// reading returns a row's reading in mm or radians: the mean of there and back, less the reference. Its uncertainty is that of the mean.
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

// repeat returns the standard deviation of one reading from the differences of there and back, the drift between the two taken out as their mean.
func repeat(k *Keys, rows *document.Rows) float64 {
	there, back := k.Column("reading"), k.Column("back")
	if there < 0 || back < 0 {
		return math.NaN()
	}
	var n, mean, squares float64
	for i := range rows.Len() {
		d := rows.Number(i, there) - rows.Number(i, back)
		if math.IsNaN(d) {
			continue
		}
		n++
		step := d - mean
		mean += step / n
		squares += step * (d - mean)
	}
	if n < 3 {
		return math.NaN()
	}
	return math.Sqrt(squares/(n-1)/2) * k.scale
}

// unusable says what is wrong with a row that no reader of numbers could have seen.
func unusable(m Method, k *Keys, r Row) (message, hint string) {
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

// condensed returns the rows; where a long run has very many, neighbours are averaged, so that the work to come does not grow with the length of the run.
func condensed(m Method, rows *document.Rows) []Row {
	const many = 2000
	n, width := rows.Len(), rows.Width()
	if !m.Runs || n <= many {
		out := make([]Row, n)
		for i := range out {
			out[i] = Row{Number: i + 1, Numbers: rows.Row(i), Count: 1}
			if len(m.Words) > 0 {
				out[i].Words = make([]string, width)
				for c := range width {
					out[i].Words[c] = rows.Text(i, c)
				}
			}
		}
		return out
	}
	z := rows.Column("position")
	least, most := math.Inf(1), math.Inf(-1)
	for i := range n {
		least, most = math.Min(least, rows.Number(i, z)), math.Max(most, rows.Number(i, z))
	}
	bins := make([]Row, many)
	for i := range n {
		p := rows.Number(i, z)
		b := &bins[min(int((p-least)/(most-least+1e-300)*many), many-1)]
		if b.Count == 0 {
			b.Number, b.Numbers = i+1, make([]float64, width)
		}
		b.Count++
		for c, v := range rows.Row(i) {
			b.Numbers[c] += (v - b.Numbers[c]) / float64(b.Count)
		}
	}
	return slices.DeleteFunc(bins, func(r Row) bool { return r.Count == 0 })
}
