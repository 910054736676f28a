package export

import (
	"bytes"
	"encoding/json"
	"fmt"
	"io"
	"math"
	"strconv"
	"strings"
	"unicode/utf16"
)

// indented writes one object and a newline. Characters that a terminal would act
// on are escaped, also those that JSON allows as they are.
func indented(w io.Writer, object any) error {
	var b bytes.Buffer
	enc := json.NewEncoder(&b)
	enc.SetEscapeHTML(false)
	enc.SetIndent("", "  ")
	if err := enc.Encode(object); err != nil {
		return err
	}
	var out strings.Builder
	for _, r := range b.String() {
		switch {
		case r == '\n' || strconv.IsPrint(r):
			out.WriteRune(r)
		case r > 0xffff:
			high, low := utf16.EncodeRune(r)
			fmt.Fprintf(&out, `\u%04x\u%04x`, high, low)
		default:
			fmt.Fprintf(&out, `\u%04x`, r)
		}
	}
	_, err := io.WriteString(w, out.String())
	return err
}

// optional is a key that is there only where the sheet uses what it tells of;
// there it is null where not known.
type optional[T any] struct {
	used  bool
	value *T
}

// IsZero leaves the key out.
func (o optional[T]) IsZero() bool { return !o.used }

// MarshalJSON writes the value, or null.
func (o optional[T]) MarshalJSON() ([]byte, error) { return json.Marshal(o.value) }

func some[T any](used bool, value T) optional[T] {
	if !used {
		return optional[T]{}
	}
	return optional[T]{true, &value}
}

func maybe[T any](used bool, value *T) optional[T] { return optional[T]{used, value} }

// known is null for what is not finite.
func known(x float64) *float64 {
	if math.IsNaN(x) || math.IsInf(x, 0) {
		return nil
	}
	return &x
}

// when is null unless the condition holds.
func when(ok bool, x float64) *float64 {
	if !ok {
		return nil
	}
	return known(x)
}

// textOrNull is null for an empty text.
func textOrNull(s string) *string {
	if s == "" {
		return nil
	}
	return &s
}

// told is null where it is not known.
func told(known, yes bool) *bool {
	if !known {
		return nil
	}
	return &yes
}
