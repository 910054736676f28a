package cli

import (
	"encoding/json"
	"fmt"
	"maps"
	"os"
	"path/filepath"
	"regexp"
	"slices"
	"strings"
	"testing"
)

// schema is a JSON Schema (2020-12), as far as those of docs/schema go: no keyword
// is used there that this does not know.
type schema struct {
	Schema     string             `json:"$schema"`
	Title      string             `json:"title"`
	About      string             `json:"description"`
	Ref        string             `json:"$ref"`
	Defs       map[string]*schema `json:"$defs"`
	Type       any                `json:"type"`
	Properties map[string]*schema `json:"properties"`
	Required   []string           `json:"required"`
	Additional *bool              `json:"additionalProperties"`
	Items      *schema            `json:"items"`
	Enum       []any              `json:"enum"`
	MinItems   *int               `json:"minItems"`
	MaxItems   *int               `json:"maxItems"`
	Pattern    string             `json:"pattern"`
}

func readSchema(t *testing.T, name string) *schema {
	t.Helper()
	data, err := os.ReadFile(top + "docs/schema/" + name + ".json")
	if err != nil {
		t.Fatal(err)
	}
	dec := json.NewDecoder(strings.NewReader(string(data)))
	dec.DisallowUnknownFields()
	var s schema
	if err := dec.Decode(&s); err != nil {
		t.Fatalf("%s: %v", name, err)
	}
	if s.Schema != "https://json-schema.org/draft/2020-12/schema" || s.Title == "" {
		t.Errorf("%s: no schema, or no title", name)
	}
	return &s
}

func (s *schema) resolved(root *schema) *schema {
	if name, ok := strings.CutPrefix(s.Ref, "#/$defs/"); ok {
		return root.Defs[name]
	}
	return s
}

// check says what is wrong with a value, and notes which keys of the schema it has.
func (s *schema) check(root *schema, path string, value any, seen map[string]bool) (faults []string) {
	s = s.resolved(root)
	fault := func(format string, args ...any) { faults = append(faults, path+": "+fmt.Sprintf(format, args...)) }
	kinds, _ := s.Type.([]any)
	if kinds == nil {
		kinds = []any{s.Type}
	}
	kind := kindOf(value)
	if !slices.Contains(kinds, any(kind)) && !(kind == "integer" && slices.Contains(kinds, any("number"))) {
		fault("found %s, want %v", kind, kinds)
	}
	if s.Enum != nil && !slices.Contains(s.Enum, value) {
		fault("found %v, want one of %v", value, s.Enum)
	}
	switch x := value.(type) {
	case map[string]any:
		if s.Properties == nil { // said to be of another form
			return faults
		}
		for _, key := range s.Required {
			if _, ok := x[key]; !ok {
				fault("no %s", key)
			}
		}
		for key, v := range x {
			of := s.Properties[key]
			if of == nil {
				fault("unknown key %s", key)
				continue
			}
			seen[path+"."+key] = true
			faults = append(faults, of.check(root, path+"."+key, v, seen)...)
		}
	case []any:
		if s.MinItems != nil && len(x) < *s.MinItems || s.MaxItems != nil && len(x) > *s.MaxItems {
			fault("found %d items", len(x))
		}
		for _, v := range x {
			faults = append(faults, s.Items.check(root, path+"[]", v, seen)...)
		}
	case string:
		if s.Pattern != "" && !regexp.MustCompile(s.Pattern).MatchString(x) {
			fault("found %q, want %s", x, s.Pattern)
		}
	}
	return faults
}

func kindOf(value any) string {
	switch x := value.(type) {
	case nil:
		return "null"
	case bool:
		return "boolean"
	case string:
		return "string"
	case float64:
		if x == float64(int64(x)) {
			return "integer"
		}
		return "number"
	case []any:
		return "array"
	}
	return "object"
}

// keys are all that a schema has, as [schema.check] names them.
func (s *schema) keys(root *schema, path string) (out []string) {
	s = s.resolved(root)
	for _, key := range slices.Sorted(maps.Keys(s.Properties)) {
		out = append(append(out, path+"."+key), s.Properties[key].keys(root, path+"."+key)...)
	}
	if s.Items != nil {
		out = append(out, s.Items.keys(root, path+"[]")...)
	}
	return out
}

// closed reports objects that may have more keys than the schema says.
func (s *schema) open(path string) (out []string) {
	if s == nil {
		return nil
	}
	if s.Properties != nil && (s.Additional == nil || *s.Additional) {
		out = append(out, path)
	}
	for key, p := range s.Properties {
		out = append(out, p.open(path+"."+key)...)
	}
	for key, p := range s.Defs {
		out = append(out, p.open(path+"$"+key)...)
	}
	return append(out, s.Items.open(path+"[]")...)
}

// The published schemas hold against what is written, and every key of a schema is
// in something that is.
func TestSchemas(t *testing.T) {
	folder := t.TempDir()
	file := func(name, text string) string {
		path := filepath.Join(folder, name)
		if err := os.WriteFile(path, []byte(text), 0o666); err != nil {
			t.Fatal(err)
		}
		return path
	}
	run := func(args ...string) string {
		out, complaints, status := call(t, "", args...)
		if status != 0 {
			t.Fatalf("%v: status %d: %s", args, status, complaints)
		}
		return out
	}
	slip := func(text string) string {
		return strings.Replace(text, "new,1,2,forward,39.65", "new,1,2,forward,40.65", 1)
	}
	stops, err := os.ReadFile(top + "testdata/qualify/new-stop.csv")
	if err != nil {
		t.Fatal(err)
	}
	short := strings.Join(strings.SplitAfter(string(stops), "\n")[:41], "") // two setups
	record := file("record.yaml", "by: Ana\ninstruments:\n  - {role: reference, name: head 2, number: DH-2, certificate: C-118, due: 2027-01-31}\n  - {role: readout, number: W-4}\n")
	var swapped, few strings.Builder
	swapped.WriteString("reference,reading\n")
	for i := range 24 {
		fmt.Fprintf(&swapped, "%g,%d\n", float64(15*i)+0.01*float64(i*i%7), 15*i)
	}
	few.WriteString("reference,reading\n")
	for i := range 24 {
		extra := 0.0
		if i == 5 {
			extra = 0.7
		}
		fmt.Fprintf(&few, "%d,%g\n", 15*i, float64(15*i)+0.01*float64(i*i%7)+extra)
	}
	values := "by,mark,value,trial\n"
	for _, by := range []string{"Ilse", "Omar", "Isle"} {
		for i, v := range []string{"0.21", "0.25", "0.23", "0.18", "0.24", "0.22"} {
			name := by
			trial := i%3 + 1
			switch {
			case by == "Ilse" && i > 2:
				name = "ilse"
			case by == "Omar" && i == 4:
				v = "22"
			case by == "Isle":
				trial += 3
			}
			values += fmt.Sprintf("%s,%s,%s,%d\n", name, []string{"TDC", "10 BTDC"}[i/3], v, trial)
		}
	}
	values += "Sten,,,\n"
	history, _ := filepath.Glob(top + "testdata/history/*.yaml")
	lesson := filepath.Join(folder, "lesson")
	run("rehearse", "one-line", "--seed", "7", "--write", lesson)
	run("rehearse", "one-line", "--batch", "2", "--names", file("names.csv", "Ana\nBo\n"), "--write", filepath.Join(folder, "batch"))
	file("batch/one-line-001-answers.csv", "mark,off_by,verdict\n1-6,0.1 late,within\n")
	qualify := func(name string, more ...string) string {
		return run(append([]string{"qualify", name, "--allowed-bias", "0.1", "--step", "0.05", "--format", "json", "--job-record", record}, more...)...)
	}
	wheel := func(args ...string) string {
		return run(append([]string{"wheel", "--format", "json", "--job-record", record, "--diameter", "280 mm"}, args...)...)
	}
	correction := filepath.Join(folder, "c.json")
	past, _ := filepath.Glob(top + "testdata/past/*.yaml")
	trusted := file("b-17.json", qualify(top+"testdata/qualify/new-stop.csv", "--name", "B-17", "--against", "A-02", "--trusted", "0.01 ± 0.02"))
	for name, outputs := range map[string][]string{
		"qualify": {
			qualify(top+"testdata/qualify/next-stop.csv", "--trusted", trusted),
			qualify(top+"testdata/qualify/new-stop.csv", "--trusted", "0.01 ± 0.02", "--stroke", "92 mm", "--rod", "152 mm", "--tolerance", "0.5"),
			qualify(top + "testdata/qualify/bent-tip.csv"), qualify(file("slip.csv", slip(string(stops)))), qualify(file("short.csv", short)),
		},
		"wheel": {
			wheel(top+"testdata/wheel/wheel-4.csv", "--step", "0.01", "--reference-limit", "0.01", "--write", correction, "--name", "wheel 4", "--date", "2026-03-14"),
			wheel(top+"testdata/wheel/wheel-4.csv", "--step", "0.5"), wheel(top + "testdata/wheel/quarters.csv"), wheel(top + "testdata/wheel/opposite.csv"),
			wheel(top + "testdata/wheel/remounted.csv"), wheel(file("swapped.csv", swapped.String())), wheel(file("few.csv", few.String())),
			wheel(file("runs.csv", "reference,reading,approach\n"+runs())),
		},
		"repeat": {
			run("repeat", top+"testdata/study/class.csv", "--format", "json"), run("repeat", top+"testdata/study/class.yaml", "--format", "json", "--job-record", record),
			run("repeat", file("pen.csv", values), "--format", "json"),
		},
		"compare":        {run(append([]string{"compare", "--format", "json", "--job-record", record}, history...)...)},
		"rehearse":       {run("rehearse", "--open", lesson+"/one-line-7.sealed", "--answers", lesson+"/one-line-7-answers.csv", "--format", "json")},
		"rehearse-batch": {run("rehearse", "--open-batch", filepath.Join(folder, "batch"), "--format", "json")},
		"audit":          audits(t, run, folder),
		"history": {
			run(append([]string{"history", "--format", "json", "--line", "1-4"}, past...)...),
			run("history", past[0], past[0], "--format", "json"), run("history", top+"testdata/sheets/good/wheel-4.history.json", "--format", "json"),
			run("history", top+"testdata/sheets/good/sweep.yaml", "--format", "json"),
		},
		"correction": {read(t, correction), read(t, top+"testdata/sheets/good/wheel-4.json")},
	} {
		s := readSchema(t, name)
		if open := s.open(name); len(open) > 0 {
			t.Errorf("open to more keys: %v", open)
		}
		seen := map[string]bool{}
		for i, text := range outputs {
			var value any
			if err := json.Unmarshal([]byte(text), &value); err != nil {
				t.Fatalf("%s %d: %v", name, i, err)
			}
			for _, fault := range s.check(s, name, value, seen) {
				t.Errorf("output %d: %s", i, fault)
			}
		}
		for _, key := range s.keys(s, name) {
			// The record is one for all: what a comparison and a table have none of is seen
			// in a study of stops. An order that is held back has the form of any other.
			if shared := strings.Contains(key, ".job_record.") || strings.Contains(key, ".held[].scribe."); !seen[key] && !(shared && name != "qualify") {
				t.Errorf("%s is in nothing that is written", key)
			}
		}
		// What is wrong is found.
		var whole any
		if err := json.Unmarshal([]byte(outputs[0]), &whole); err != nil {
			t.Fatal(err)
		}
		value, one := whole, s
		if list, ok := whole.([]any); ok {
			value, one = list[0], s.Items
		}
		object := value.(map[string]any)
		object["extra"] = true
		delete(object, one.Required[0])
		if len(s.check(s, name, whole, map[string]bool{})) < 2 {
			t.Errorf("%s: neither a missing key nor one too many is found", name)
		}
	}
}

// runs are five runs of a readout at five stations, forward.
func runs() string {
	var b strings.Builder
	for run := range 5 {
		for i := range 5 {
			fmt.Fprintf(&b, "%d,%g,forward\n", 72*i, float64(72*i)+0.01*float64((run*i)%3))
		}
	}
	return b.String()
}

func read(t *testing.T, path string) string {
	t.Helper()
	data, err := os.ReadFile(path)
	if err != nil {
		t.Fatal(err)
	}
	return string(data)
}

// audits are those that are kept of every good sheet, and of a few stands with what
// these have not: mistakes, and lines that more readings would decide.
func audits(t *testing.T, run func(args ...string) string, folder string) (out []string) {
	kept, err := filepath.Glob(top + "testdata/golden/*.json")
	if err != nil {
		t.Fatal(err)
	}
	for _, path := range kept {
		if text := read(t, path); strings.Contains(text, `"sheet_as_read"`) {
			out = append(out, text)
		}
	}
	for _, scenario := range []string{"moved-readout", "shallow-stop"} {
		run("rehearse", scenario, "--seed", "1", "--write", folder)
		out = append(out, run("audit", filepath.Join(folder, scenario+"-1.yaml"), "--format", "json"))
	}
	// Two setups without a closing pair, all lines off alike: an order is held back.
	var held strings.Builder
	held.WriteString("engine: {turns: clockwise}\npart: {marks_on: part}\nreadout: {step: 0.1, counts: up}\nlimits: {tolerance: 1}\nmarks: [{name: a, at: 0}, {name: b, at: 60}, {name: c, at: 120}]\nsetups:\n")
	for range 2 {
		held.WriteString("  - stop: {forward: [335, 335.1, 335, 335.1], backward: [25, 24.9, 25, 24.9]}\n    marks: {a: [1.8, 1.9, 1.8], b: [61.8, 61.9, 61.8], c: [121.8, 121.9, 121.8]}\n")
	}
	path := filepath.Join(folder, "held.yaml")
	if err := os.WriteFile(path, []byte(held.String()), 0o666); err != nil {
		t.Fatal(err)
	}
	return append(out, run("audit", path, "--format", "json"))
}
