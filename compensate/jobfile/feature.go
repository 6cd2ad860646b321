package jobfile

import (
	"cmp"
	"fmt"
	"slices"
	"strings"

	"wornway/compensate/work"
	"wornway/profile/document"
	"wornway/profile/form"
)

// What is asked of features, in plausible bounds.
const (
	mostFeatures = 200
	finest       = 0.5e-3 // mm: a finer spread than this nobody measures in a shop
)

// fileFeature is a feature with its place in the file.
type fileFeature struct {
	work.Feature
	t      *document.Table
	placed bool // its ends can be used
}

func (r *reader) features(root *document.Table) {
	tables, ok := root.Tables("feature", mostFeatures)
	if !root.Has("feature") || ok && len(tables) == 0 {
		root.Missing("feature", "write a header [[feature]] for each length that is turned, and under it name, from, "+
			"to and diameter")
		return
	}
	var all []fileFeature
	for _, t := range tables {
		all = append(all, r.feature(t))
	}
	r.distinct(all)
	r.walls(all)
	asked := false
	r.runouts(all)
	for _, w := range all {
		r.job.Features = append(r.job.Features, w.Feature)
		asked = asked || w.Asked()
	}
	if ok && !asked {
		r.Warn(tables[0], "", "give a fit, upper and lower, spread or taper where it matters",
			"nothing is asked of any feature: every plan will do")
	}
}

func (r *reader) feature(t *document.Table) fileFeature {
	w := fileFeature{t: t}
	f := &w.Feature
	if name, ok := r.Name(t, "name"); ok {
		if f.Name = strings.TrimSpace(name); f.Name == "" {
			t.Fault("name", how("feature.name"), "is empty")
		}
	} else if !t.Has("name") {
		t.Missing("name", how("feature.name"))
	}
	w.placed = r.ends(t, f)
	f.Diameter = r.Length(t, "diameter", needed, 0)
	if v, ok := t.Bool("bore"); ok {
		f.Bore = v.V
	}
	if d := r.part.Stock; d > 0 && f.Diameter > 0 {
		switch {
		case f.Bore && f.Diameter >= d-near:
			t.Fault("diameter", "check both numbers", "a bore must be narrower than job.stock_diameter")
		case !f.Bore && f.Diameter > d+near:
			t.Fault("diameter", "check both numbers", "must not be more than job.stock_diameter")
		}
	}
	r.size(t, f)
	f.Tolerance = r.Length(t, "spread", positive, 0)
	f.Taper = r.Length(t, "taper", positive, 0)
	f.Runout = r.Length(t, "runout", positive, 0)
	f.RunoutTo, _ = r.Name(t, "runout_to")
	f.RunoutTo = strings.TrimSpace(f.RunoutTo)
	switch {
	case t.Has("runout") && !t.Has("runout_to"):
		t.Missing("runout_to", how("feature.runout_to"))
	case t.Has("runout_to") && !t.Has("runout"):
		t.Missing("runout", how("feature.runout"))
	}
	if v, ok := r.Choice(t, "sized", string(work.InPlace), string(work.Once)); ok {
		f.Sized = work.Sizing(v)
	}
	for _, k := range []struct {
		key string
		mm  float64
	}{{"spread", f.Tolerance}, {"taper", f.Taper}, {"runout", f.Runout}} {
		switch {
		case k.mm == 0:
		case k.mm < finest:
			r.Warn(t, k.key, "check the number and the file's unit",
				"less than half a micrometre (0.02 thou) cannot be measured in a shop")
		case k.key == "runout":
		case f.Size != nil && k.mm > f.Size.Upper-f.Size.Lower+near:
			r.Warn(t, k.key, "leave it out, or check the number", "it asks for less than the limits of size do")
		}
	}
	return w
}

// ends reads where the feature lies on the part.
func (r *reader) ends(t *document.Table, f *work.Feature) bool {
	from, ok1 := r.Number(t, "from", form.Limit{Required: true})
	to, ok2 := r.Number(t, "to", form.Limit{Required: true})
	if !ok1 || !ok2 {
		return false
	}
	var ok bool
	if f.From, f.To, ok = r.Stretch(t, "to", from, to); !ok {
		return false
	}
	const hint = "positions count from the part's headstock end, from 0 to job.length"
	l := r.part.Length
	if l == 0 {
		return true
	}
	if f.From < -near || f.From >= l {
		t.Fault("from", hint, "lies outside the part")
		ok = false
	}
	if f.To > l+near || f.To <= 0 {
		t.Fault("to", hint, "lies outside the part")
		ok = false
	}
	f.From, f.To = max(f.From, 0), min(f.To, l)
	return ok && f.From < f.To
}

// size reads the limits of size: a fit, or deviations.
func (r *reader) size(t *document.Table, f *work.Feature) {
	upper, lower := t.Has("upper"), t.Has("lower")
	if t.Has("fit") && (upper || lower) {
		t.Fault("fit", "keep the fit, or upper and lower", "the limits are given twice")
		for _, k := range []string{"upper", "lower"} {
			t.Number(k)
		}
		return
	}
	if v, ok := t.Text("fit"); ok {
		r.fit(t, f, strings.TrimSpace(v.V))
		return
	}
	if !upper && !lower {
		return
	}
	for _, k := range []string{"upper", "lower"} {
		if !t.Has(k) {
			t.Missing(k, how("feature."+k))
		}
	}
	u, ok1 := r.Number(t, "upper", form.Limit{})
	l, ok2 := r.Number(t, "lower", form.Limit{})
	for _, k := range []struct {
		key string
		v   float64
	}{{"upper", u}, {"lower", l}} {
		if size := r.Unit.ToMM(k.v); f.Diameter > 0 && (size > f.Diameter/4 || size < -f.Diameter/4) {
			t.Fault(k.key, "upper and lower say how far the size may lie above and below diameter; what lies below "+
				"is minus", "is no deviation from the diameter")
			ok1 = false
		}
	}
	switch {
	case !ok1 || !ok2:
	case u < l:
		t.Fault("upper", "exchange the two, or check their signs", "must not be less than lower")
	case u == l:
		t.Fault("upper", "give limits that a turner can hit", "leaves no room above lower")
	default:
		f.Size = &work.Limits{Lower: r.Unit.ToMM(l), Upper: r.Unit.ToMM(u)}
	}
}

// fit looks a fit up for the diameter.
func (r *reader) fit(t *document.Table, f *work.Feature, name string) {
	if f.Diameter == 0 {
		return // a fault already
	}
	fit, err := work.ParseFit(name, f.Diameter)
	switch {
	case err != nil:
		t.Fault("fit", "give the limits as upper and lower in place of the fit", "%v", err)
	case fit.Bore && !f.Bore:
		t.Fault("fit", "write bore = true for a bore, or the small letter for a shaft",
			"a capital letter is a bore's fit, and this feature is outside work")
	case !fit.Bore && f.Bore:
		t.Fault("fit", "write the capital letter for a bore, or leave bore out",
			"a small letter is a shaft's fit, and this feature is a bore")
	default:
		f.Fit, f.Size, f.Recalled = fit.Name, &work.Limits{Lower: fit.Limits.Lower, Upper: fit.Limits.Upper},
			fit.FromMemory
	}
}

// distinct checks that names differ and that no two features of a kind share a length.
func (r *reader) distinct(all []fileFeature) {
	seen := map[string]bool{}
	for _, w := range all {
		if w.Name != "" && seen[w.Name] {
			w.t.Fault("name", "give each feature a name of its own", "stands twice")
		}
		seen[w.Name] = true
	}
	for _, bore := range []bool{false, true} {
		var kind []fileFeature
		for _, w := range all {
			if w.placed && w.Bore == bore {
				kind = append(kind, w)
			}
		}
		slices.SortStableFunc(kind, func(a, b fileFeature) int { return cmp.Compare(a.From, b.From) })
		for i := 1; i < len(kind); i++ {
			before, w := kind[i-1], kind[i]
			if w.From < before.To-near {
				w.t.Fault("from", "end one where the other begins", "the feature begins before %s has ended",
					called(before))
			}
			if before.To > w.To {
				kind[i] = before // it reaches further still
			}
		}
	}
}

// runouts finds the features that others are to run true to.
func (r *reader) runouts(all []fileFeature) {
	for i := range all {
		w := &all[i]
		if w.Runout == 0 || w.RunoutTo == "" {
			continue
		}
		at := slices.IndexFunc(all, func(o fileFeature) bool { return o.Name == w.RunoutTo })
		switch {
		case at == i:
			w.t.Fault("runout_to", "name another feature", "a feature always runs true to itself")
		case at < 0:
			var names []string
			for _, o := range all {
				if o.Name != "" && o.Name != w.Name {
					names = append(names, o.Name)
				}
			}
			hint := form.Meant(w.RunoutTo, names)
			if hint == "" {
				hint = "give the name of a feature as it stands in this file"
			}
			w.t.Fault("runout_to", hint, "no feature has that name")
		default:
			all[at].Datum = true
		}
	}
}

// walls checks that every bore leaves metal about it.
func (r *reader) walls(all []fileFeature) {
	for _, b := range all {
		for _, w := range all {
			if b.placed && w.placed && b.Bore && !w.Bore && b.Diameter > 0 && w.Diameter > 0 &&
				b.From < w.To-near && w.From < b.To-near && b.Diameter >= w.Diameter-near {
				b.t.Fault("diameter", "check both diameters", "leaves no metal under %s", called(w))
			}
		}
	}
}

// called names another feature in a message.
func called(w fileFeature) string {
	if w.Name == "" {
		return "a feature without a name"
	}
	return fmt.Sprintf("%q", w.Name)
}
