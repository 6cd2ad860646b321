package ask

import (
	"errors"
	"fmt"
	"strings"

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
	"lathe.front_way": "Look at the bed from its end. Is the way on the operator's side, on which the saddle rides, a " +
		"ridge like a roof (a V)? (yes, or no or empty where it is flat)",
	"lathe.compound": "Enter the compound's dial? Corrections can then be finer. (yes, or no for later)",
	"lathe.tailstock": "Enter where the tailstock's base stands on the bed? It tells where its centre goes along a worn " +
		"bed, and what an indicator on the tailstock reads. (yes, or no for later)",
	"lathe.holding": "Enter where the chuck's jaws are, and how far the tailstock's centre goes? wornway plan needs " +
		"it. (yes, or no for later)",
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

// Lathe asks for a profile's keys and for the wear that is known already.
func (a *Asking) Lathe(unit length.Unit, answers profile.Answers) {
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
	rest := []step{{group: more, asks: asksMore}}
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
				*into = append(*into, step{group: group, asks: asks, opens: table == "lathe.front_way", within: within})
			}
		}
		open = table
		*into = append(*into, step{key: k, group: group, within: within})
	}
	known := step{group: wearRows, asks: "Do you know already how far the ways have sunk? (yes or no)"}
	if wanted := a.all(append(append(steps, rest...), known)); wanted[wearRows] && !a.ended {
		a.rows()
	}
}

// rows asks for the rows of wear.
func (a *Asking) rows() {
	unit, answers := a.unit, a.file.answers
	a.raw("\n")
	a.say("Wear that you know already, a row for each position, headstock end first:")
	a.say("  position, drop of the front way, drop of the rear way, sideways shift (plus toward the operator).")
	a.say("  An empty line ends the rows; %q takes the last one away.", back)
	var rows []string
	for !a.ended {
		s := a.answer(fmt.Sprintf("  row %d", len(rows)+1))
		if s == "" {
			break
		}
		if s == back {
			rows = rows[:max(len(rows)-1, 0)]
			continue
		}
		parts := entry.Split(s)
		if len(parts) == 3 {
			parts = append(parts, "0")
		}
		if len(parts) != 4 {
			a.say("  Four numbers are needed, or three where there is no shift.")
			continue
		}
		ok := true
		for i, p := range parts {
			text, err := entry.Member(p, unit)
			if err != nil {
				a.say("  %s.", word.Upper(plainError(err)))
				ok = false
				break
			}
			parts[i] = text
		}
		if !ok {
			continue
		}
		rows = append(rows, "  ["+strings.Join(parts, ", ")+"],")
		answers["wear.rows"] = "[\n" + strings.Join(rows, "\n") + "\n]"
		if v, _ := a.judge(wearRows); v != taken {
			rows = rows[:len(rows)-1]
		}
	}
	delete(answers, "wear.rows")
	if len(rows) < 2 {
		if len(rows) == 1 {
			a.say("  Wear needs two rows at the least: the one is left out.")
		}
		return
	}
	answers["wear.rows"] = "[\n" + strings.Join(rows, "\n") + "\n]"
	s := a.answer("  How sure is each entry, as a standard uncertainty (empty: not stated)")
	for s != "" {
		text, err := entry.Number(s, unit)
		if err == nil {
			answers["wear.uncertainty"] = text
			if v, _ := a.judge("wear.uncertainty"); v == taken {
				return
			}
			delete(answers, "wear.uncertainty")
		} else {
			a.say("  %s.", word.Upper(plainError(err)))
		}
		s = a.answer("  How sure is each entry (empty: not stated)")
	}
}
