package diagnosis

import (
	"encoding/json"
	"fmt"
	"math"

	"markaudit/geometry"
)

// Row holds an angle for each line, NaN where there is none. JSON has null there.
type Row []geometry.Angle

// Table holds a row for each mounting.
type Table [][]geometry.Angle

// MarshalJSON writes null for NaN.
func (r Row) MarshalJSON() ([]byte, error) {
	if r == nil {
		return []byte("null"), nil
	}
	cells := make([]*geometry.Angle, len(r))
	for i := range r {
		if !math.IsNaN(r[i].Degrees()) {
			cells[i] = &r[i]
		}
	}
	return json.Marshal(cells)
}

// UnmarshalJSON reads what MarshalJSON writes.
func (r *Row) UnmarshalJSON(data []byte) error {
	var cells []*geometry.Angle
	if err := json.Unmarshal(data, &cells); err != nil || cells == nil {
		return err
	}
	*r = make(Row, len(cells))
	for i, c := range cells {
		(*r)[i] = geometry.Angle(math.NaN())
		if c != nil {
			(*r)[i] = *c
		}
	}
	return nil
}

// MarshalJSON writes null for NaN.
func (t Table) MarshalJSON() ([]byte, error) {
	if t == nil {
		return []byte("null"), nil
	}
	rows := make([]Row, len(t))
	for i := range t {
		rows[i] = t[i]
	}
	return json.Marshal(rows)
}

// UnmarshalJSON reads what MarshalJSON writes.
func (t *Table) UnmarshalJSON(data []byte) error {
	var rows []Row
	if err := json.Unmarshal(data, &rows); err != nil || rows == nil {
		return err
	}
	*t = make(Table, len(rows))
	for i := range rows {
		(*t)[i] = rows[i]
	}
	return nil
}

// word is an enumeration's stable key.
func word(words []string, i int) string {
	if i >= len(words) {
		return fmt.Sprintf("unknown %d", i)
	}
	return words[i]
}

// fromWord finds the value of an enumeration by its stable key.
func fromWord[T ~uint8](value *T, words []string, text []byte) error {
	for i, w := range words {
		if w == string(text) {
			*value = T(i)
			return nil
		}
	}
	return fmt.Errorf("found %q, expected one of %q", text, words)
}
