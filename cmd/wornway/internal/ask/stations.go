package ask

import (
	"fmt"
	"math"
	"slices"
	"strconv"
	"strings"

	"wornway/cmd/wornway/internal/disk"
	"wornway/cmd/wornway/internal/refuse"
	"wornway/cmd/wornway/internal/shop"
	"wornway/cmd/wornway/internal/word"
	"wornway/compensate"
	"wornway/profile/entry"
	"wornway/profile/length"
)

// Check refuses what does not go together.
func (s *Survey) Check() error {
	p := s.Places
	if p.At != nil && (p.Every != nil || p.From != nil || p.To != nil) {
		return refuse.Usage("--at names the stations: --every, --from and --to have no place beside it",
			"for instance: --at 2,4,6.5")
	}
	if p.Every != nil && !(p.Every.Number > 0) {
		return refuse.Usage(fmt.Sprintf("--every %s: must be greater than zero", p.Every.String()),
			"give the distance from one station to the next")
	}
	if s.Reference && !slices.Contains(s.Method.Also, "reference") {
		return refuse.Usage(fmt.Sprintf("--reference: %s knows no second reading", s.Method.Name), "leave it out")
	}
	return nil
}

// start writes down where the readings are to be taken.
func (r *Recording) start(stations []entry.Station) error {
	if r.Under == nil { // every method asks for something; this is for a file from which all of it was taken meanwhile
		return OnDisk(&disk.ChangedError{Path: r.File})
	}
	text, err := r.Under.Start(recordColumns(r.Method, r.survey.Reference), stations)
	if err != nil {
		return err
	}
	return r.write(text)
}

// asked returns the stations that were asked for beforehand.
func (r *Recording) asked() ([]entry.Station, error) {
	p := r.survey.Places
	if p.At != nil {
		s, err := r.Listed(*p.At)
		if err != nil {
			return nil, refuse.Usage(fmt.Sprintf("--at %s: %v", word.Visible(*p.At), plainError(err)),
				"positions with commas between, such as 2,4,6.5")
		}
		return s, nil
	}
	from, to, step := r.spreading().Reach()
	if p.From != nil {
		from = p.From.MM(r.In)
	}
	if p.To != nil {
		to = p.To.MM(r.In)
	}
	if p.Every != nil {
		step = p.Every.MM(r.In)
	} else if p.From != nil || p.To != nil {
		step = compensate.RoundStep(to-from, r.In.MM(), shop.MostStations)
	}
	if !(from < to) {
		return nil, refuse.Usage(fmt.Sprintf("the stations go from %s to %s: --from must be less than --to",
			r.Bare(from),
			r.At(to)), "positions count from the spindle nose")
	}
	s, err := r.Stepped(from, to, step)
	if err != nil {
		return nil, refuse.Usage(plainError(err), "positions count from the spindle nose")
	}
	return s, nil
}

// spreading is that of the survey under way.
func (r *Recording) spreading() shop.Spread {
	s := shop.NewSpread(r.Profile, r.Method)
	if r.Under == nil {
		return s
	}
	if v := r.Under.Numbers("contacts"); len(v) == 2 {
		s.Contacts = [2]float64{r.In.ToMM(v[0]), r.In.ToMM(v[1])}
	}
	if z, err := strconv.ParseFloat(r.Under.Word("held_at"), 64); err == nil {
		s.Jaws = r.In.ToMM(z)
	}
	return s
}

// More stations than anybody reads: all of them stand in the file until they are read.
const mostStations = 1000

var errTooMany = fmt.Errorf("these are more than %d stations", mostStations)

// Stepped returns stations at the multiples of a step within a stretch, mm; where a start was asked for it is one of
// them.
func (r *Recording) Stepped(from, to, step float64) ([]entry.Station, error) {
	if (to-from)/step > mostStations {
		return nil, errTooMany
	}
	var at []float64
	for i := 0; ; i++ {
		z := from + float64(i)*step
		if z > to+1e-9*step { // as far as rounding goes it is the end
			break
		}
		at = append(at, shop.Tidy(r.In.From(math.Min(z, to))))
	}
	return r.OnBed(at)
}

// Listed reads positions that are written down.
func (r *Recording) Listed(text string) ([]entry.Station, error) {
	var at []float64
	for _, p := range entry.Split(text) {
		z, err := r.alongBed(p)
		if err != nil {
			return nil, err
		}
		at = append(at, shop.Tidy(r.In.From(z)))
	}
	if len(at) == 0 {
		return nil, fmt.Errorf("names no station")
	}
	return r.OnBed(at)
}

// alongBed reads a position or distance along the bed, mm.
func (r *Recording) alongBed(text string) (float64, error) {
	l, err := length.Parse(text)
	if err == nil {
		err = entry.Coarse(l, text)
	}
	return l.MM(r.In), err
}

// OnBed makes stations of positions and refuses what lies beside the bed.
func (r *Recording) OnBed(at []float64) ([]entry.Station, error) {
	if len(at) > mostStations {
		return nil, errTooMany
	}
	ways := r.Profile.Lathe.Ways
	for i, z := range at {
		const near = 1e-6
		if mm := r.In.ToMM(z); mm < ways.From-near || mm > ways.To+near {
			return nil, fmt.Errorf("%v lies outside lathe.bed, which goes from %s to %s", z, r.Bare(ways.From),
				r.At(ways.To))
		}
		if i > 0 && z == at[i-1] {
			return nil, fmt.Errorf("%v stands twice: the answer again measures a place once more", z)
		}
	}
	if !r.Method.Stretches() {
		var out []entry.Station
		for _, z := range at {
			out = append(out, entry.Station{z})
		}
		return out, nil
	}
	if len(at) < 2 {
		return nil, fmt.Errorf("a level stands on two feet: at least two positions are needed")
	}
	var out []entry.Station
	for i := range at[1:] {
		out = append(out, entry.Station{math.Min(at[i], at[i+1]), math.Max(at[i], at[i+1])})
	}
	return out, nil
}

// askStations offers stations and takes others. Again: what is wrong with an answer has just been said.
func (r *Recording) askStations(again bool) {
	offered := r.offered()
	var names []string
	for _, z := range offered {
		names = append(names, r.Bare(r.In.ToMM(z)))
	}
	what := "Stations, from the spindle nose"
	if r.Method.Stretches() {
		what = "The level's feet stand, one after the other, at these positions from the spindle nose: give them as " +
			"far apart as the feet are"
	}
	usual := strings.Join(names, " ")
	switch {
	case again:
	case usual == "":
		r.tell(About, fmt.Sprintf("%s, in %s: five or more.", what, r.plainUnit()))
	default:
		r.tell(About, fmt.Sprintf("%s, in %s: an empty answer takes %s.", what, r.plainUnit(), usual))
	}
	such := "  stations, such as 1 3 5 or every 2"
	if r.table != nil {
		such = "  stations, such as 4 5 6 7 8"
	}
	r.turn.Asks = &Prompt{Kind: AskStations, Text: such, Usual: usual, Empty: usual,
		Unit: r.In.String(), Words: []string{"undo", "stop"}}
	r.next = func(text string) error {
		var stations []entry.Station
		var err error
		step, stretch, every := evenly(text)
		switch {
		case text == "":
			stations, err = r.OnBed(offered)
		case strings.EqualFold(text, "undo") && len(r.before) > 0:
			return r.takeBack()
		case every:
			stations, err = r.everySo(step, stretch)
		default:
			if _, _, is := length.Between(text); is {
				err = fmt.Errorf("%s is a stretch: say how far apart the stations are too, such as every 2 from %s",
					text, text)
				break
			}
			stations, err = r.Listed(text)
		}
		if err != nil {
			r.tell(Refused, word.Upper(plainError(err))+".")
			return nil
		}
		return r.start(stations)
	}
}

// offered are the stations that an empty answer takes: of collars those of the cut before.
func (r *Recording) offered() []float64 {
	if r.table != nil {
		return r.table.seen
	}
	if planned := r.planned(); len(planned) > 0 {
		return planned
	}
	return r.spreading().Stations()
}

// evenly takes every 4, every 4 from 2 to 38 or 2 to 38 every 4 apart: the distance, and the stretch where one is
// named.
func evenly(text string) (step, stretch string, is bool) {
	before, after, is := strings.Cut(" "+strings.ToLower(text), " every ")
	if !is {
		return "", "", false
	}
	step, stretch, found := strings.Cut(after, " from ")
	if !found {
		stretch = strings.TrimPrefix(strings.TrimSpace(before), "from ")
	}
	return step, strings.TrimSpace(stretch), true
}

// everySo spreads stations at a distance as it was typed, over a stretch or the usual one.
func (r *Recording) everySo(text, stretch string) ([]entry.Station, error) {
	text, err := length.Decimal(text)
	if err != nil {
		return nil, err
	}
	step, err := r.alongBed(text)
	if err != nil {
		return nil, err
	}
	if !(step > 0) {
		return nil, fmt.Errorf("the distance must be greater than zero")
	}
	if r.table != nil {
		return nil, fmt.Errorf("a table of collars does not say how far the bar goes: name the positions")
	}
	if stretch != "" {
		parts := entry.Ends(stretch)
		if len(parts) != 2 {
			return nil, fmt.Errorf("two positions are needed, such as every 4 from 2 to 38")
		}
		var ends [2]float64
		for i, p := range parts {
			if ends[i], err = r.alongBed(p); err != nil {
				return nil, err
			}
		}
		if !(ends[0] < ends[1]) {
			return nil, fmt.Errorf("the first position must be less than the last")
		}
		return r.Stepped(ends[0], ends[1], step)
	}
	from, to, _ := r.spreading().Reach()
	if r.spreading().Edge() { // at its contacts an edge has no gap
		from, to = from+step, to-step/10
	}
	return r.Stepped(from, to, step)
}

// plainUnit names the file's unit in full.
func (r *Recording) plainUnit() string {
	if r.In == length.Inch {
		return "inches"
	}
	return "millimetres"
}
