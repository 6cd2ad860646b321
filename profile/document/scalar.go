package document

import (
	"errors"
	"math"
	"strconv"
	"strings"
	"time"
)

// Number reads an integer or a float. nan and inf are faults, and so is a number in quotes.
func (t *Table) Number(key string) (Value[float64], bool) {
	e := t.take(key)
	if e == nil {
		return Value[float64]{}, false
	}
	n, message, hint := t.doc.number(&e.value)
	if message != "" {
		t.wrong(key, &e.value, hint, message)
		return Value[float64]{}, false
	}
	return placed(t.doc, &e.value, n), true
}

// Text reads a string. It may be empty and may hold any character: whoever shows it must see to what a terminal makes
// of it.
func (t *Table) Text(key string) (Value[string], bool) { return t.word(key, nil) }

// Word reads text that can be nothing but one of some words; what is no text is told which.
func (t *Table) Word(key, words string) (Value[string], bool) {
	return t.word(key, func() (string, string) {
		return "must be " + words, "write one of these in quotes; what stands here may belong to another key"
	})
}

func (t *Table) word(key string, otherwise func() (message, hint string)) (Value[string], bool) {
	e := t.take(key)
	if e == nil {
		return Value[string]{}, false
	}
	if e.value.kind != textKind {
		message, hint := t.doc.notText(&e.value)
		if otherwise != nil {
			message, hint = otherwise()
		}
		t.wrong(key, &e.value, hint, message)
		return Value[string]{}, false
	}
	return placed(t.doc, &e.value, e.value.text), true
}

// Bool reads true or false.
func (t *Table) Bool(key string) (Value[bool], bool) {
	e := t.take(key)
	if e == nil {
		return Value[bool]{}, false
	}
	if e.value.kind != boolKind {
		hint := "write true or false, in small letters and without quotes"
		if e.value.kind == textKind && (e.value.text == "true" || e.value.text == "false") {
			hint = "drop the quotes: " + e.value.text
		}
		t.wrong(key, &e.value, hint, "must be true or false")
		return Value[bool]{}, false
	}
	return placed(t.doc, &e.value, t.doc.raw(&e.value) == "true"), true
}

// Date reads a date; of a date with a time it takes the date as written. The result is midnight UTC of that day.
func (t *Table) Date(key string) (Value[time.Time], bool) {
	e := t.take(key)
	if e == nil {
		return Value[time.Time]{}, false
	}
	if e.value.kind == dateKind || e.value.kind == dateTimeKind {
		if day, err := time.Parse(time.DateOnly, t.doc.raw(&e.value)[:len(time.DateOnly)]); err == nil {
			return placed(t.doc, &e.value, day), true
		}
	}
	hint := "write year-month-day without quotes, for instance 2026-03-14"
	if e.value.kind == textKind {
		if _, err := time.Parse(time.DateOnly, e.value.text); err == nil {
			hint = "drop the quotes: " + e.value.text
		}
	}
	t.wrong(key, &e.value, hint, "must be a date")
	return Value[time.Time]{}, false
}

// Scalar reads a number or a text, for keys that may be either; V is a float64 or a string.
func (t *Table) Scalar(key string) (Value[any], bool) {
	e := t.take(key)
	if e == nil {
		return Value[any]{}, false
	}
	switch e.value.kind {
	case textKind:
		return placed[any](t.doc, &e.value, e.value.text), true
	case integerKind, floatKind:
		n, message, hint := t.doc.number(&e.value)
		if message == "" {
			return placed[any](t.doc, &e.value, n), true
		}
		t.wrong(key, &e.value, hint, message)
	default:
		t.wrong(key, &e.value, "write one number, or one text between quote marks",
			"must be a number or text in quotes")
	}
	return Value[any]{}, false
}

// Numbers reads a list of numbers. Every item that is none is a fault of its own.
func (t *Table) Numbers(key string) (Value[[]float64], bool) {
	e := t.take(key)
	if e == nil {
		return Value[[]float64]{}, false
	}
	if e.value.kind != arrayKind || e.value.headed {
		hint := "write [1, 2]: numbers with commas between them"
		if e.value.kind == integerKind || e.value.kind == floatKind {
			hint = "write [" + t.doc.raw(&e.value) + "]"
		}
		t.wrong(key, &e.value, hint, "must be a list of numbers in brackets")
		return Value[[]float64]{}, false
	}
	numbers := make([]float64, 0, len(e.value.items))
	for i := range e.value.items {
		n, message, hint := t.doc.number(&e.value.items[i])
		if message != "" {
			t.wrongItem(key, i, &e.value.items[i], hint, message)
			continue
		}
		numbers = append(numbers, n)
	}
	return placed(t.doc, &e.value, numbers), len(numbers) == len(e.value.items)
}

// Texts reads a list of strings.
func (t *Table) Texts(key string) (Value[[]string], bool) {
	e := t.take(key)
	if e == nil {
		return Value[[]string]{}, false
	}
	if e.value.kind != arrayKind || e.value.headed {
		hint := `write ["one", "two"]`
		if e.value.kind == textKind {
			hint = "write [" + t.doc.raw(&e.value) + "]"
		}
		t.wrong(key, &e.value, hint, "must be a list of texts in brackets")
		return Value[[]string]{}, false
	}
	texts := make([]string, 0, len(e.value.items))
	for i := range e.value.items {
		item := &e.value.items[i]
		if item.kind != textKind {
			message, hint := t.doc.notText(item)
			t.wrongItem(key, i, item, hint, message)
			continue
		}
		texts = append(texts, item.text)
	}
	return placed(t.doc, &e.value, texts), len(texts) == len(e.value.items)
}

// OneOrMore reads a string or a list of strings, for keys that may be either.
func (t *Table) OneOrMore(key string) (Value[[]string], bool) {
	e := t.take(key)
	if e == nil {
		return Value[[]string]{}, false
	}
	if e.value.kind == arrayKind && !e.value.headed {
		return t.Texts(key)
	}
	v, ok := t.Text(key)
	return Value[[]string]{V: []string{v.V}, Pos: v.Pos, Raw: v.Raw}, ok
}

// Pairs reads a list of pairs of numbers, [[a, b], [c, d]].
func (t *Table) Pairs(key string) ([]Value[[2]float64], bool) {
	e := t.take(key)
	if e == nil {
		return nil, false
	}
	if e.value.kind != arrayKind || e.value.headed {
		t.wrong(key, &e.value, "write [[from, to]]", "must be a list of pairs of numbers")
		return nil, false
	}
	pairs := make([]Value[[2]float64], 0, len(e.value.items))
	if len(e.value.items) == 2 && e.value.items[0].kind != arrayKind && e.value.items[1].kind != arrayKind {
		t.wrong(key, &e.value, "write ["+shorten(t.doc.raw(&e.value))+"]",
			"must be a list of pairs: one more pair of brackets is needed")
		return nil, false
	}
	for i := range e.value.items {
		item := &e.value.items[i]
		if item.kind != arrayKind || len(item.items) != 2 {
			t.wrongItem(key, i, item, "write [from, to]", "must be a pair of numbers in brackets")
			continue
		}
		var pair [2]float64
		good := true
		for j := range pair {
			n, message, hint := t.doc.number(&item.items[j])
			if message != "" {
				t.wrongItem(key, i, &item.items[j], hint, message)
				good = false
			}
			pair[j] = n
		}
		if good {
			pairs = append(pairs, placed(t.doc, item, pair))
		}
	}
	return pairs, len(pairs) == len(e.value.items)
}

func placed[T any](d *Document, v *value, x T) Value[T] {
	return Value[T]{V: x, Pos: d.pos(int(v.start)), Raw: d.raw(v)}
}

// number reads a value as a finite number, or says why it is none.
func (d *Document) number(v *value) (n float64, message, hint string) {
	raw := d.raw(v)
	switch v.kind {
	case integerKind:
		i, err := strconv.ParseInt(raw, 0, 64)
		if err != nil {
			i, err = strconv.ParseInt(strings.ReplaceAll(raw, "_", ""), 10, 64)
		}
		if err != nil {
			return 0, "is too large a number", largeHint
		}
		return float64(i), "", ""
	case floatKind:
		n, err := strconv.ParseFloat(strings.ReplaceAll(raw, "_", ""), 64)
		if math.IsNaN(n) || err == nil && math.IsInf(n, 0) {
			return 0, "is not a number that can be used", plainHint
		}
		if err != nil {
			return 0, "is too large a number", largeHint
		}
		return n, "", ""
	case textKind:
		if n, err := ParseNumber(v.text, true); err == nil {
			return 0, "must be a number", "drop the quotes: " + writeNumber(v.text, n)
		} else if f := (Fault{}); errors.As(err, &f) && f.Hint != "" {
			return 0, "must be a number", f.Hint
		}
	}
	return 0, "must be a number", plainHint
}

// tooLargeNumber says whether a number, rightly written, is more than can be held.
func tooLargeNumber(v *value, raw string) bool {
	const surely = 15 // digits that always fit
	if len(raw) <= surely && !strings.ContainsAny(raw, "eE") {
		return false
	}
	raw = strings.ReplaceAll(raw, "_", "")
	var err error
	if v.kind == integerKind {
		_, err = strconv.ParseInt(raw, 0, 64)
	} else {
		_, err = strconv.ParseFloat(raw, 64)
	}
	return errors.Is(err, strconv.ErrRange)
}

// writeNumber writes a number that stood in a text as TOML wants it, with as many figures as its writer gave where that
// is possible.
func writeNumber(s string, n float64) string {
	s = strings.ReplaceAll(strings.TrimSpace(s), ",", ".")
	digits := strings.TrimLeft(s, "+-")
	if _, ok := plainNumber(s); ok && digits != "" && digits[0] != '.' && !strings.HasSuffix(digits, ".") &&
		(digits[0] != '0' || len(digits) == 1 || digits[1] == '.') {
		return s
	}
	return strconv.FormatFloat(n, 'f', -1, 64)
}

func (d *Document) notText(v *value) (message, hint string) {
	switch v.kind {
	case arrayKind, tableKind:
		return "must be text in quotes", "write one text between quote marks, \"like this\""
	}
	return "must be text in quotes", "write " + Quote(d.raw(v))
}
