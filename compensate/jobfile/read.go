package jobfile

import (
	"math"
	"slices"

	"wornway/compensate/bend"
	"wornway/compensate/work"
	"wornway/profile/document"
	"wornway/profile/form"
	"wornway/profile/length"
)

// near is how far, mm, a position may lie outside a part, or two features may overlap, and still be taken to meet:
// conversion between units must not make a fault.
const near = 1e-6

// Moduli of elasticity and specific cutting forces that any metal has, N/mm².
const (
	leastModulus, mostModulus   = 10e3, 700e3
	leastSpecific, mostSpecific = 100, 20e3
)

// File is a job as its file has it.
type File struct {
	Name     string // the name it was read under
	Unit     length.Unit
	Job      work.Job         // with its Part; At is 0
	Warnings []document.Fault // what is possible but hardly meant
}

// Parse reads a job from its text; name is what faults call it. The error is document.Faults with everything that is
// wrong.
func Parse(name string, data []byte) (*File, error) {
	doc, err := document.Parse(name, data)
	if err != nil {
		return nil, err
	}
	r := &reader{Reader: form.Reader{Doc: doc, How: how}, part: &work.Part{}}
	r.root(doc.Root())
	if err := doc.Faults(); err != nil {
		return nil, err
	}
	document.Faults(r.Warnings).Sort()
	r.job.Part = r.part
	return &File{Name: name, Unit: r.Unit, Job: r.job, Warnings: r.Warnings}, nil
}

// reader turns a document into a job. What is wrong goes to the document's faults, and reading goes on.
type reader struct {
	form.Reader
	job      work.Job
	part     *work.Part
	specific *bend.Material // how hard the work is to cut; nil: not known
}

func (r *reader) root(t *document.Table) {
	if t.Has("lathe") && !t.Has("job") {
		for _, k := range t.Keys() {
			t.Has(k)
		}
		t.Fault("lathe", "a job file has [job] and [[feature]]; wornway new --job FILE writes one",
			"this is a lathe's profile, and not a job")
		return
	}
	if t.Has("lathe") {
		t.Fault("lathe", "keep it in a profile of its own: one lathe turns many jobs", "does not belong in a job file")
	}
	r.Head(t)
	job, ok := t.Table("job")
	switch {
	case ok:
		r.stock(job)
		r.held(job)
		r.material(job)
	case !t.Has("job"):
		t.Missing("job", "write a header [job] and under it name, length and stock_diameter")
	}
	r.features(t)
	if ok {
		r.height(job)
		r.cut(job)
	}
}

var positive = form.Limit{Above: form.Zero}
var needed = form.Limit{Required: true, Above: form.Zero}

// stock reads the part and the bar it is made of.
func (r *reader) stock(t *document.Table) {
	p := r.part
	r.job.Name, _ = r.Name(t, "name")
	p.Length = r.Length(t, "length", needed, 0)
	p.Stock = r.Length(t, "stock_diameter", needed, 0)
	p.StockLength = r.Length(t, "stock_length", positive, p.Length)
	if p.StockLength < p.Length-near {
		t.Fault("stock_length", how("job.stock_length"), "is shorter than the part")
	}
	p.StockLength = math.Max(p.StockLength, p.Length)
	p.Grip = r.Length(t, "grip", positive, math.Min(p.Stock, p.StockLength/3)) // common practice, no source
	if p.Length > 0 && p.Grip > p.StockLength+near {
		t.Fault("grip", how("job.grip"), "is longer than the stock")
	}
	if v, ok := t.Bool("end_for_end"); ok {
		p.EndForEnd = v.V
	}
	if v, ok := r.Choice(t, "jaws", jaws()...); ok {
		p.Jaws = work.Jaws(v)
	}
	r.job.ToolHeight = r.Length(t, "tool_height", form.Limit{}, 0)
}

// held reads the ways of holding to choose from.
func (r *reader) held(t *document.Table) {
	r.part.Held = work.AllHoldings()
	v, ok := t.OneOrMore("held")
	if !ok {
		return
	}
	var names []string
	for _, h := range work.AllHoldings() {
		names = append(names, string(h))
	}
	if len(v.V) == 0 {
		t.Fault("held", "leave the key out where any way will do", "names no way of holding work")
		return
	}
	var held []work.Holding
	for _, name := range v.V {
		h, err := work.ParseHolding(name)
		switch {
		case err != nil:
			hint := form.Meant(name, names)
			if name == "between-centres" || name == "between centres" {
				hint = `did you mean "centres"?`
			}
			t.Fault("held", hint, "must be %s, or a list of them", form.OneOf(names))
			return
		case slices.Contains(held, h):
			t.Fault("held", "leave one of them out", "%q stands twice", name)
			return
		}
		held = append(held, h)
	}
	r.part.Held, r.part.HeldStated = held, true
}

// material reads what the work is made of: a name, or its modulus and specific cutting force.
func (r *reader) material(t *document.Table) {
	if v, ok := t.Text("material"); ok {
		if m, known := bend.FindMaterial(v.V); known {
			r.part.Material, r.part.Modulus, r.specific = m.Name, m.Modulus, &m
		} else {
			hint := form.Meant(v.V, materials())
			if hint == "" {
				hint = how("job.material") + "; or give modulus and specific_force in its place"
			}
			t.Fault("material", hint, "is not known here")
		}
	}
	inside := func(key string, least, most float64, hint string) (float64, bool) {
		v, ok := r.Number(t, key, form.Limit{})
		switch {
		case ok && t.Has("material"):
			t.Fault(key, "keep one of the two", "material gives it already")
		case ok && !(v >= least && v <= most):
			t.Fault(key, hint, "must lie between %v and %v N/mm²", least, most)
		default:
			return v, ok
		}
		return 0, false
	}
	if v, ok := inside("modulus", leastModulus, mostModulus,
		"in N/mm², whatever the file's unit: steel has some 206000, aluminium 70000"); ok {
		r.part.Modulus = v
	}
	if v, ok := inside("specific_force", leastSpecific, mostSpecific,
		"in N/mm², whatever the file's unit: at a fine feed mild steel takes some 2500"); ok {
		r.specific = &bend.Material{KC1: v}
	}
}

func materials() []string {
	var names []string
	for _, m := range bend.Materials() {
		names = append(names, m.Name)
	}
	return names
}

func jaws() []string {
	var names []string
	for _, j := range work.AllJaws() {
		names = append(names, string(j))
	}
	return names
}

// height checks the tool's height against all that is turned.
func (r *reader) height(t *document.Table) {
	least := math.Inf(1)
	for _, f := range r.job.Features {
		if f.Diameter > 0 {
			least = math.Min(least, f.Diameter/2)
		}
	}
	if math.Abs(r.job.ToolHeight) >= least {
		t.Fault("tool_height", how("job.tool_height"), "lies as far from centre height as the smallest feature's "+
			"radius, or further")
	}
}
