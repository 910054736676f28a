package testkit

import (
	"cmp"
	"fmt"
	"math"
	"os"
	"reflect"
	"slices"
	"strconv"
	"strings"
)

// figureTolerance is what a figure may differ by from its golden, of itself:
// processors that multiply and add in one step differ by some 1e-12, and what is
// found by iteration is good to 1e-7.
const figureTolerance = 1e-6

// Figures fails the test unless every figure of a value is what a file of testdata
// holds, one to a line behind its path; what is zero or empty has no line. It keeps
// whole results as they are, beside the tests that say why they are right. With
// -update the file is rewritten.
func Figures(t T, name string, value any) {
	t.Helper()
	var got []string
	figures(&got, "", reflect.ValueOf(value))
	if *update {
		if err := os.WriteFile(Path(t, name), []byte(strings.Join(got, "\n")+"\n"), 0o644); err != nil {
			t.Fatalf("%v", err)
		}
	}
	want := strings.Split(strings.TrimSuffix(string(Read(t, name)), "\n"), "\n")
	for i := range max(len(got), len(want)) {
		if i >= len(got) || i >= len(want) {
			t.Fatalf("%s: got %d figures, want %d: %q", name, len(got), len(want), append(got, want...)[min(len(got), len(want))])
		}
		if !sameFigure(got[i], want[i]) {
			t.Fatalf("%s:%d: got %s, want %s", name, i+1, got[i], want[i])
		}
	}
}

func sameFigure(got, want string) bool {
	if got == want {
		return true
	}
	path, figure, _ := strings.Cut(got, ": ")
	wantPath, wantFigure, _ := strings.Cut(want, ": ")
	a, errA := strconv.ParseFloat(figure, 64)
	b, errB := strconv.ParseFloat(wantFigure, 64)
	return path == wantPath && errA == nil && errB == nil && math.Abs(a-b) <= figureTolerance*math.Max(math.Abs(a), math.Abs(b))+1e-12
}

func figures(out *[]string, path string, v reflect.Value) {
	add := func(figure any) { *out = append(*out, fmt.Sprintf("%s: %v", strings.TrimPrefix(path, "."), figure)) }
	switch v.Kind() {
	case reflect.Float64:
		if x := v.Float(); math.Abs(x) > 1e-12 || math.IsNaN(x) {
			add(strconv.FormatFloat(x, 'g', 9, 64))
		}
	case reflect.Complex128:
		if z := v.Complex(); z != 0 {
			add(fmt.Sprintf("%.9g", z))
		}
	case reflect.Int, reflect.Int8, reflect.Int64, reflect.Uint8, reflect.Uint:
		if !v.IsZero() {
			add(fmt.Sprint(v))
		}
	case reflect.Bool:
		if v.Bool() {
			add(true)
		}
	case reflect.String:
		if v.Len() > 0 {
			add(strconv.Quote(v.String()))
		}
	case reflect.Pointer, reflect.Interface:
		if !v.IsNil() {
			figures(out, path, v.Elem())
		}
	case reflect.Slice, reflect.Array:
		if v.Type().Name() == "Budget" { // its ± tells of the rows, and those are many
			return
		}
		for i := range v.Len() {
			figures(out, path+"["+strconv.Itoa(i)+"]", v.Index(i))
		}
	case reflect.Struct:
		for i := range v.NumField() {
			if !v.Type().Field(i).IsExported() {
				continue
			}
			figures(out, path+"."+v.Type().Field(i).Name, v.Field(i))
		}
	case reflect.Map:
		keys := v.MapKeys()
		slices.SortFunc(keys, func(a, b reflect.Value) int { return cmp.Compare(fmt.Sprint(a), fmt.Sprint(b)) })
		for _, k := range keys {
			figures(out, path+"["+fmt.Sprint(k)+"]", v.MapIndex(k))
		}
	}
}
