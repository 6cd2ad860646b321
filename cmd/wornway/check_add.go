package main

import (
	"errors"
	"fmt"
	"path/filepath"

	"github.com/spf13/cobra"

	"wornway/cmd/wornway/internal/answer"
	"wornway/cmd/wornway/internal/disk"
	"wornway/cmd/wornway/internal/env"
	"wornway/cmd/wornway/internal/refuse"
	"wornway/cmd/wornway/internal/shop"
	"wornway/cmd/wornway/internal/show"
	"wornway/cmd/wornway/internal/testcut"
	"wornway/compensate"
	"wornway/profile"
	"wornway/profile/document"
)

// learn makes the cut one more survey of the profile's file, and says what that has changed.
func learn(e *env.Env, c *cobra.Command, file string, was []byte, p *profile.Profile, cut *profile.Cut, o *checkOptions,
	before *shop.Bench, r *testcut.Checked) error {
	doc, err := document.Parse(file, was)
	if err != nil {
		return err
	}
	data, err := doc.AppendTable(cut.Block(p.Unit))
	if err != nil {
		return err
	}
	// All that the new text will be asked for is asked before it takes the old one's place.
	after, err := e.Parse(filepath.Dir(file), file, data)
	if err != nil {
		return err
	}
	if err := o.tool.Slips.Undo(after); err != nil {
		return err
	}
	l, err := prepared(e, c, after, file, o)
	if err != nil {
		return err
	}
	if r.Json.Added, err = learnt(r, e, c, p, l, before, cut, o, file); err != nil {
		return err
	}
	write := func() error {
		unlock, err := disk.Lock(file)
		var locked *disk.LockedError
		switch {
		case errors.As(err, &locked):
			return refuse.With(err.Error(), "end it there first; nothing was changed here")
		case err != nil:
			return refuse.With(err.Error(), "the cut was not added")
		}
		defer unlock()
		var changed *disk.ChangedError
		switch err := disk.Replace(file, was, data); {
		case errors.As(err, &changed):
			return refuse.With(err.Error(), "run the command again: it reads the file anew")
		case err != nil:
			return refuse.With(err.Error(), "the cut was not added")
		}
		return nil
	}
	return emitOnce(e, o.out, r.Report(), "stations", write)
}

// learnt compares the ± on the diameter over the cut's length before and after.
func learnt(r *testcut.Checked, e *env.Env, c *cobra.Command, p *profile.Profile, after, before *shop.Bench,
	cut *profile.Cut,
	o *checkOptions, file string) (*testcut.AddedJSON, error) {
	in := r.In.From
	k := r.Curve
	later, err := after.Machine.Curve(k.Cut)
	if err != nil {
		return nil, after.Explain(err)
	}
	number := after.Surveys[len(after.Surveys)-1].Number
	out := &testcut.AddedJSON{Survey: number, From: in(k.From), To: in(k.To), After: in(testcut.Worst(later))}
	s := fmt.Sprintf("Added as survey %d of %s; the previous version is %s.bak.", number, file, file)
	earlier, lean := k, ""
	if cut.As.Held != "centres" && before.Machine.Wear.Stated() {
		// What a ± leaves out as long as no reading sees the spindle must not make the one that counts it look worse.
		open, err := shop.NewBench(p.WithLeanOpen(), file)
		if err != nil {
			return nil, err
		}
		if earlier, err = open.Machine.Curve(k.Cut); err != nil {
			return nil, open.Explain(err)
		}
		lean = ", the spindle's lean counted in both"
	}
	if !before.Machine.Wear.Stated() {
		s += fmt.Sprintf(" The diameter from %s to %s was predicted without a ±; now it is known %s at the least.",
			r.Bare(k.From), r.At(k.To), r.PlusMinus(testcut.Worst(later), true))
	} else {
		out.Before = answer.Null(in(testcut.Worst(earlier)), true)
		s += fmt.Sprintf(" The ± on the diameter from %s to %s goes from %s to %s%s.", r.Bare(k.From), r.At(k.To),
			r.PlusMinus(testcut.Worst(earlier), true), r.PlusMinus(testcut.Worst(later), true), lean)
	}
	r.Answer = append(r.Answer, s)
	if r.Verdict == compensate.Differs {
		r.Answer = append(r.Answer, "As the cut and the profile do not agree, look at wornway wear "+
			""+file+": it says which reading is out of line.")
	}
	return out, nil
}

// emitOnce is emit with something that is to be done once it is clear that the answer can be written, and before it is.
func emitOnce(e *env.Env, o env.Output, r show.Report, first string, done func() error) error {
	if o.Csv != "" && o.Csv != env.FirstTable {
		if err := env.HasTable(r, string(o.Csv)); err != nil {
			return err
		}
	}
	if o.File != "" && o.File != "-" && e.IsRead(o.File) {
		return e.Emit(o, r, first) // which refuses it
	}
	if err := done(); err != nil {
		return err
	}
	return e.Emit(o, r, first)
}
