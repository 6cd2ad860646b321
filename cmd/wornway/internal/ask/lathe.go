package ask

import (
	"errors"
	"fmt"
	"slices"
	"strings"

	"wornway/cmd/wornway/internal/shop"
	"wornway/cmd/wornway/internal/word"
	"wornway/profile"
	"wornway/profile/document"
	"wornway/profile/entry"
	"wornway/profile/form"
	"wornway/profile/length"
)

// wearRows is the table whose rows are judged while they are given.
const wearRows = "wear"

// groups are the tables of a profile that not every lathe has, or not every question needs, each with what is asked
// before its keys are.
var groups = map[string]string{
	"lathe.front_way": "Look at the bed from its end. Is the way on the operator's side, on which the saddle rides, " +
		"a V (a ridge like a roof) or flat? (V or flat)",
	"lathe.compound": "Enter the compound's dial? Corrections can then be finer. (yes, or no for later)",
	"lathe.tailstock": "Enter where the tailstock's base stands on the bed? It tells where its centre goes along a " +
		"worn bed, and what an indicator on the tailstock reads. (yes, or no for later)",
	"lathe.holding": "Enter how deep the chuck takes stock, and how far the tailstock's centre goes? wornway plan " +
		"needs it. (yes, or no for later)",
}

// more holds what predict, correct, place and check do without, or take as is usual: it can be left out in one answer.
const more = "more"

const asksMore = "Enter more now? That is the compound, the tailstock, the chuck, and a few values that are usually " +
	"right as they are. predict, correct, place and check do without. (yes, or no for later)"

// spare are the keys of it that are in no table of their own.
var spare = map[string]bool{"lathe.front_way.contact_spacing": true, "lathe.saddle.bearing": true,
	"lathe.cross_slide.finest": true}

// later are keys that are rarely known when a profile is begun; the file explains them.
var later = map[string]bool{"lathe.twist_uncertainty": true, "lathe.unworn": true, "lathe.saddle.seating": true,
	"lathe.holding.chuck_pull": true, "lathe.holding.chuck_gave": true, "lathe.holding.chuck_pulled_at": true}

// Lathe asks for a profile's keys, for the wear that is known already and, where none is, for the tools that there are
// to measure it: nil for all.
func (a *Interview) Lathe(unit length.Unit, answers profile.Answers) (tools []string) {
	a.begin(unit, draft{answers, func(given form.Answers) (faults, odd []document.Fault) {
		p, err := profile.Draft(nil, "profile", []byte(profile.Template(unit, given)))
		var all document.Faults
		errors.As(err, &all)
		if p != nil {
			odd = p.Warnings
		}
		return all, odd
	}})
	var steps []step
	rest := []step{{group: more, asks: asksMore, or: yesOrNo}}
	open := ""
	for _, k := range profile.Keys() {
		table := k.Table()
		if table == "lathe.spindle" || later[k.Path] {
			continue
		}
		group, into, within := "", &steps, ""
		if spare[k.Path] || groups[table] != "" && table != "lathe.front_way" {
			into, within = &rest, more
		}
		if asks := groups[table]; asks != "" {
			if group = table; table != open {
				ask := step{group: group, asks: asks, or: yesOrNo, within: within}
				if table == "lathe.front_way" {
					ask.opens, ask.or = true, yesNoWords{"V", "flat"}
				}
				*into = append(*into, ask)
			}
		}
		open = table
		s := step{key: k, group: group, within: within}
		if k.Path == jawsFront {
			s.unless = jawsFront
		}
		if *into = append(*into, s); k.Path == "lathe.bed" {
			steps = append(steps, step{key: early()})
		}
	}
	a.all(append(append(steps, rest...),
		step{group: wearRows, asks: "Do you know already how far the ways have sunk? (yes or no)", or: yesOrNo},
		step{group: wearRows, does: a.rows},
		step{unless: wornRows, does: func() bool {
			return a.Choice("Which tools do you have? Some of "+strings.Join(shop.Tools(), ", ")+", or none. bar is a "+
				"test bar.", "tools (empty: all)", func(said string) (err error) {
				tools, err = shop.ParseTools(said)
				return err
			})
		}}))
	return tools
}

// jawsFront is asked for twice: of everybody, and once more with what else tells of the holding, which needs it.
const jawsFront = "lathe.holding.jaws_front"

// early is the question after the jaws' front that everybody gets.
func early() form.Key {
	keys := profile.Keys()
	k := keys[slices.IndexFunc(keys, func(k form.Key) bool { return k.Path == jawsFront })]
	k.Required, k.Default = false, "for later"
	k.How += "; without it work in the chuck is taken to stand out from the spindle nose"
	return k
}

// rows asks for the rows of wear and how sure they are. It is not done where the question before is wanted again.
func (a *Interview) rows() (done bool) {
	a.raw("\n")
	a.say("Wear that you know already, a row for each position, headstock end first:")
	a.say("  position, drop of the front way, drop of the rear way, sideways shift (plus toward the operator).")
	a.say("  An empty line ends the rows; %q takes the last one away.", back)
	var rows []string
	for !done {
		var enough bool
		if rows, enough = a.moreRows(rows); !enough {
			delete(a.file.answers, wornRows)
			return false
		}
		if len(rows) < 2 {
			delete(a.file.answers, wornRows)
			if len(rows) == 1 {
				a.say("  Wear needs two rows at the least: the one is left out.")
			}
			return true
		}
		done = a.sureOfRows()
	}
	return true
}

// wornRows is the key of the rows.
const wornRows = "wear.rows"

// moreRows asks for rows until there are enough; otherwise the question before them is wanted again.
func (a *Interview) moreRows(rows []string) (all []string, enough bool) {
	list := func() string { return "[\n" + strings.Join(rows, "\n") + "\n]" }
	for !a.ended {
		s := a.answer(fmt.Sprintf("  row %d", len(rows)+1))
		switch {
		case s == "":
			a.file.answers[wornRows] = list()
			return rows, true
		case s == back && len(rows) == 0:
			return nil, false
		case s == back:
			rows = rows[:len(rows)-1]
			continue
		}
		row, err := wornRow(s, a.unit)
		if err != nil {
			a.say("  %s.", word.Upper(plainError(err)))
			continue
		}
		rows = append(rows, row)
		a.file.answers[wornRows] = list()
		if v, _ := a.judge(wearRows); v != taken {
			rows = rows[:len(rows)-1]
		}
	}
	a.file.answers[wornRows] = list()
	return rows, true
}

// wornRow turns a row as it is typed into one of the file.
func wornRow(s string, unit length.Unit) (string, error) {
	parts := entry.Split(s)
	if len(parts) == 3 {
		parts = append(parts, "0")
	}
	if len(parts) != 4 {
		return "", errors.New("four numbers are needed, or three where there is no shift")
	}
	for i, p := range parts {
		var err error
		if parts[i], err = entry.Member(p, unit); err != nil {
			return "", err
		}
	}
	return "  [" + strings.Join(parts, ", ") + "],", nil
}

// sureOfRows asks how sure the rows are. It is not done where the rows are wanted again.
func (a *Interview) sureOfRows() (done bool) {
	const key = "wear.uncertainty"
	s := a.answer("  How sure is each entry, as a standard uncertainty (empty: not stated)")
	for s != "" && s != back {
		text, err := entry.Number(s, a.unit)
		if err == nil {
			a.file.answers[key] = text
			if v, _ := a.judge(key); v == taken {
				return true
			}
			delete(a.file.answers, key)
		} else {
			a.say("  %s.", word.Upper(plainError(err)))
		}
		s = a.answer("  How sure is each entry (empty: not stated)")
	}
	return s != back
}
