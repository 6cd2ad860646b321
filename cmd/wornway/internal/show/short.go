package show

import (
	"fmt"
	"slices"
)

// Whole returns the report with all that there is to say in the parts that even a short one has.
func (r Report) Whole() Report {
	r.Answer = slices.Concat(r.Answer, r.Steps)
	r.Remarks = slices.Concat(r.Remarks, r.Notes)
	r.Cautions = slices.Concat(r.Usual, r.Cautions)
	r.Steps, r.Notes, r.Usual, r.Limits, r.Next = nil, nil, nil, nil, nil // the limits stand among what was assumed
	return r
}

// short returns the report as an answer that is read at a glance: without what is as usual, and with what limits it.
func (r Report) short() Report {
	longer := r.longer()
	r.Cautions = slices.Concat(r.Usual[:min(1, len(r.Usual))], r.Cautions)
	r.Remarks = slices.Concat(r.Limits, r.Remarks)
	r.Steps, r.Notes, r.Usual, r.Limits, r.Assumed = nil, nil, nil, nil, nil
	if longer {
		more := ""
		if rows := r.fine(); rows > 0 {
			more = fmt.Sprintf(", with %d more rows", rows)
			if rows == 1 {
				more = ", with one more row"
			}
		}
		r.Next = append(slices.Clip(r.Next), "The whole answer"+more+": --full.")
	}
	return r
}

// forPeople returns what people are shown of the report: all of it but for data, or the short answer.
func (r Report) forPeople(f Format) Report {
	whole := r
	if f.Full {
		r = r.Whole()
	} else {
		r = r.short()
	}
	r.Tables = nil
	for _, t := range whole.Tables {
		if t.Full && !f.Full || t.Short && f.Full {
			continue
		}
		if t = t.forPeople(f); len(t.Columns) > 0 { // a table of nothing but data is for CSV alone
			r.Tables = append(r.Tables, t)
		}
	}
	if f.ASCII && f.Kind == Text {
		r.plain()
	}
	return r
}

// Glance returns the answer without its foot: the sentences, what limits it, and of its first table so many rows at
// most.
func (r Report) Glance(rows int) Report {
	out := Report{Answer: r.Answer, Warnings: r.Warnings, Remarks: r.Limits, Sketch: r.Sketch}
	for _, t := range r.Tables {
		if !t.Full && rows > 0 {
			t.Most = rows
			t = t.forPeople(Format{})
			t.Most, t.Fine, t.Title = 0, nil, ""
			out.Tables = []Table{t}
			break
		}
	}
	return out
}

// fine counts the rows that the short answer leaves out of tables that it shows. Rows between others, which positions
// give away, are not counted.
func (r Report) fine() int {
	n := 0
	for _, t := range r.Tables {
		if !t.Full {
			n += len(t.Fine)
		}
	}
	return n
}

// longer says whether the whole answer has something that the short one leaves out.
func (r Report) longer() bool {
	return len(r.Assumed)+len(r.Steps)+len(r.Notes) > len(r.Limits) || len(r.Usual) > 1 ||
		slices.ContainsFunc(r.Tables, Table.longer)
}

// longer says it of a table.
func (t Table) longer() bool {
	return t.Full || len(t.Fine) > 0 || t.Most > 1 && len(t.Rows) > t.Most ||
		slices.ContainsFunc(t.Columns, func(c Column) bool { return c.Full && !c.Data })
}

// forPeople returns the table as people are shown it: without the columns that are for CSV, and unless the full answer
// is asked for without some of its columns and rows.
func (t Table) forPeople(f Format) Table {
	for {
		hidden := slices.IndexFunc(t.Columns, func(c Column) bool { return c.Data || c.Full && !f.Full })
		if hidden < 0 {
			break
		}
		t = t.without(hidden)
	}
	if !f.Full && len(t.Fine) > 0 {
		var rows [][]Cell
		for i, row := range t.Rows {
			if !slices.Contains(t.Fine, i) {
				rows = append(rows, row)
			}
		}
		t.Rows = rows
	}
	if f.Full || f.Rows || t.Most < 2 || len(t.Rows) <= t.Most {
		return t
	}
	var rows [][]Cell
	for _, i := range t.Shown() {
		rows = append(rows, t.Rows[i])
	}
	t.Rows = rows
	return t
}

// Shown returns which rows a short answer has of a table that has Most of them.
func (t Table) Shown() (rows []int) {
	every, even := 1, len(t.Rows)-len(t.Keep)
	if t.Most > 1 && len(t.Rows) > t.Most {
		every = (even + t.Most - 3) / (t.Most - 1) // so that with the last one there are no more than Most
	}
	n := 0
	for i := range t.Rows {
		if slices.Contains(t.Keep, i) {
			rows = append(rows, i)
			continue
		}
		if n%every == 0 || n == even-1 {
			rows = append(rows, i)
		}
		n++
	}
	return rows
}
