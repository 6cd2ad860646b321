package show

import (
	"bytes"
	"encoding/csv"
	"encoding/json"
	"errors"
	"fmt"
	"math"
	"strconv"
	"strings"

	"wornway/cmd/wornway/internal/safe"
)

var errNotFinite = errors.New("the answer holds a number that is not finite")

// writeJSON writes v, indented by two.
func writeJSON(b *bytes.Buffer, v any) error {
	if v == nil {
		return errors.New("there is no JSON for this answer")
	}
	e := json.NewEncoder(b)
	e.SetEscapeHTML(false)
	e.SetIndent("", "  ")
	if err := e.Encode(v); err != nil {
		var bad *json.UnsupportedValueError
		if errors.As(err, &bad) && (strings.Contains(bad.Str, "NaN") || strings.Contains(bad.Str, "Inf")) {
			return fmt.Errorf("cannot write JSON: %w", errNotFinite)
		}
		return fmt.Errorf("cannot write JSON: %w", err)
	}
	encoded := safe.JSON(bytes.Clone(b.Bytes()))
	b.Reset()
	b.Write(encoded)
	return nil
}

// writeCSV writes one table as RFC 4180 has it, but with bare line feeds.
func writeCSV(b *bytes.Buffer, tables []Table, name string) error {
	if len(tables) == 0 {
		return errors.New("there is no table in this answer to write as CSV")
	}
	t := &tables[0]
	if name != "" {
		var names []string
		t = nil
		for i := range tables {
			names = append(names, tables[i].Name)
			if tables[i].Name == name {
				t = &tables[i]
				break
			}
		}
		if t == nil {
			return fmt.Errorf("there is no table %q in this answer; it has %s", name, strings.Join(names, ", "))
		}
	}
	w := csv.NewWriter(b)
	record := make([]string, len(t.Columns))
	for j, c := range t.Columns {
		record[j] = c.Key
	}
	if err := w.Write(record); err != nil {
		return fmt.Errorf("cannot write CSV: %w", err)
	}
	for i, row := range t.Rows {
		for j, c := range row {
			s, err := field(c.Value)
			if err != nil {
				return fmt.Errorf("cannot write CSV: table %q, row %d, %s: %w", t.Name, i+1, t.Columns[j].Key, err)
			}
			record[j] = s
		}
		if err := w.Write(record); err != nil {
			return fmt.Errorf("cannot write CSV: %w", err)
		}
	}
	w.Flush()
	return w.Error()
}

// field writes one value; a number so that it reads back as the same number, and as JSON would write it.
func field(v any) (string, error) {
	switch v := v.(type) {
	case nil:
		return "", nil
	case string:
		return safe.Cell(v), nil
	case bool:
		return strconv.FormatBool(v), nil
	case int:
		return strconv.Itoa(v), nil
	case float64:
		return number(v)
	case *float64:
		if v == nil {
			return "", nil
		}
		return number(*v)
	}
	return "", fmt.Errorf("a value of type %T has no place in a table", v)
}

func number(x float64) (string, error) {
	if math.IsNaN(x) || math.IsInf(x, 0) {
		return "", errNotFinite
	}
	x += 0 // drops a negative zero
	if a := math.Abs(x); a != 0 && (a < 1e-6 || a >= 1e21) {
		return strconv.FormatFloat(x, 'e', -1, 64), nil
	}
	return strconv.FormatFloat(x, 'f', -1, 64), nil
}
