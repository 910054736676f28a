package sheet

import (
	"bytes"
	"errors"
	"fmt"
	"math"
	"path/filepath"
	"reflect"
	"strconv"
	"strings"
	"testing"

	"github.com/google/go-cmp/cmp"
	"github.com/google/go-cmp/cmp/cmpopts"

	"markaudit/audit/inputerror"
	"markaudit/audit/internal/testkit"
	"markaudit/audit/sheet/readings"
	"markaudit/geometry"
)

// FuzzSheet reads any bytes as a sheet: no panic, and what is
// accepted is finite and survives being written and read again.
func FuzzSheet(f *testing.F) {
	for _, kind := range []string{"good", "bad"} {
		for _, path := range testkit.Files(f, "sheets/"+kind+"/*.yaml") {
			f.Add(testkit.Read(f, path))
		}
	}
	f.Add([]byte(Blank()))
	f.Add([]byte(Demo()))
	files := map[string][]byte{}
	for _, path := range append(testkit.Files(f, "sheets/*/*.csv"), testkit.Files(f, "sheets/*/*.json")...) {
		files[filepath.Base(path)] = testkit.Read(f, path)
	}
	open := func(path string) ([]byte, error) {
		if data, ok := files[path[strings.LastIndex(path, "/")+1:]]; ok {
			return data, nil
		}
		return nil, errors.New("no such file")
	}
	f.Fuzz(func(t *testing.T, data []byte) { survives(t, data, open) })
}

// FuzzCSV reads any bytes as a readings file.
func FuzzCSV(f *testing.F) {
	for _, path := range testkit.Files(f, "sheets/*/*.csv") {
		f.Add(testkit.Read(f, path))
	}
	sheet := []byte("engine: {turns: clockwise}\npart: {marks_on: part}\nreadout: {step: 0.5, counts: up}\nlimits: {tolerance: 1}\n" +
		"marks: [{name: 1-6, at: 0}, {name: fire 12, at: 12 BTDC}, {name: T, at: 0}, {name: '#1', at: 0}, {name: TDC 1, at: 0}, {name: 10°, at: 0}]\nreadings: f.csv\n")
	f.Fuzz(func(t *testing.T, data []byte) {
		survives(t, sheet, func(string) ([]byte, error) { return data, nil })
	})
}

func survives(t *testing.T, data []byte, open Open) {
	if _, _, err := Read("fuzz.yaml", data, open); err != nil {
		return
	}
	first, p, err := Read("fuzz.yaml", data, open)
	if err != nil {
		return
	}
	finite(t, reflect.ValueOf(first), "sheet")
	for _, s := range first.Setups {
		if at, ok := p.Find(s.Path); !ok || at.Line == 0 {
			t.Errorf("setup %q has no place", s.Name)
		}
	}
	text, table := written(first)
	second, _, err := Read("written.yaml", []byte(text), func(path string) ([]byte, error) {
		if path == WrittenHistory {
			var b bytes.Buffer
			err := WriteHistory(&b, *first.Readout.History, "")
			return b.Bytes(), err
		}
		if strings.HasSuffix(path, ".json") {
			var b bytes.Buffer
			err := WriteCorrection(&b, *first.Readout.Correction)
			return b.Bytes(), err
		}
		return []byte(table), nil
	})
	if err != nil {
		t.Fatalf("%v\n%s\n%s", err, text, table)
	}
	same := cmp.Options{
		cmpopts.IgnoreTypes(geometry.Unit(0), inputerror.Path("")), cmpopts.IgnoreFields(Sheet{}, "Digest"), cmpopts.IgnoreFields(History{}, "Digest"), cmpopts.EquateEmpty(),
		asEntered, // lengths are written in millimetres
	}
	if diff := cmp.Diff(first, second, same); diff != "" {
		t.Errorf("not the same sheet (-first +second):\n%s\nwritten as:\n%s\n%s", diff, text, table)
	}
}

func finite(t *testing.T, v reflect.Value, name string) {
	switch v.Kind() {
	case reflect.Float64:
		if x := v.Float(); math.IsNaN(x) || math.IsInf(x, 0) || math.Abs(x) > 1e6 && name != "sheet.Readout.Correction.DOF" {
			t.Errorf("%s is %v", name, x)
		}
	case reflect.Struct:
		for i := range v.NumField() {
			finite(t, v.Field(i), name+"."+v.Type().Field(i).Name)
		}
	case reflect.Pointer:
		if !v.IsNil() {
			finite(t, v.Elem(), name)
		}
	case reflect.Slice, reflect.Array:
		for i := range v.Len() {
			finite(t, v.Index(i), fmt.Sprintf("%s[%d]", name, i))
		}
	case reflect.Map:
		for _, k := range v.MapKeys() {
			finite(t, v.MapIndex(k), name+"."+k.String())
		}
	}
}

// written writes a sheet, and its readings file if it had one.
func written(s Sheet) (sheet, table string) {
	if len(s.Setups) > 0 && strings.HasPrefix(string(s.Setups[0].Path), "readings[") {
		return withoutReadings(s) + "readings: written.csv\n", writtenReadings(s)
	}
	return Write(s), ""
}

func writtenReadings(s Sheet) string {
	var rows []readings.Row
	for _, f := range s.Setups {
		put := func(trial, item string, r *Reading) {
			if r != nil {
				rows = append(rows, readings.Row{
					Setup: f.Name, By: f.By, Trial: trial, Item: item, Approach: r.Approach.String(),
					Reading: valueText(*r), Time: r.Time, Note: r.Note, Struck: r.Reason,
				})
			}
		}
		for i, t := range f.Trials {
			put(strconv.Itoa(i), "stop", t.Forward)
			put(strconv.Itoa(i), "stop", t.Backward)
		}
		if c := f.Closing; c != nil {
			put("c", "closing", c.Forward)
			put("c", "closing", c.Backward)
		}
		for _, m := range s.Marks {
			for i := range f.Marks[m.Name] {
				put("", m.Name, &f.Marks[m.Name][i])
			}
		}
	}
	return string(readings.Write(rows))
}
