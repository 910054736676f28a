package cli

import (
	"bytes"
	"encoding/json"
	"maps"
	"os"
	"path/filepath"
	"slices"
	"strings"
	"testing"

	"markaudit/cmd/markaudit/internal/world"

	"github.com/google/go-cmp/cmp"
	"github.com/google/go-cmp/cmp/cmpopts"
)

// call runs the program in the test's own process.
func call(t testing.TB, stdin string, args ...string) (stdout, stderr string, status int) {
	t.Helper()
	var out, errors bytes.Buffer
	env := world.System()
	env.Stdin, env.Stdout, env.Stderr, env.IsTerminal = strings.NewReader(stdin), &out, &errors, false
	status = Run(env, args)
	return out.String(), errors.String(), status
}

// Every good sheet gives the result that was kept. Numbers are
// compared to 1e-9 of themselves, for their last digits differ between
// processors, and below 1e-9 as zero: offsets are differences of readings.
func TestJSONGoldens(t *testing.T) {
	sheets, err := filepath.Glob(top + "testdata/sheets/good/*.yaml")
	if err != nil || len(sheets) == 0 {
		t.Fatalf("found %d good sheets: %v", len(sheets), err)
	}
	t.Chdir(top + "testdata/sheets/good")
	for _, path := range sheets {
		name := filepath.Base(path)
		t.Run(name, func(t *testing.T) {
			printed, trouble, status := call(t, "", "audit", name, "--format", "json")
			if status != 0 || trouble != "" {
				t.Fatalf("status %d: %s", status, trouble)
			}
			golden := "../../golden/" + strings.TrimSuffix(name, ".yaml") + ".json"
			if *update {
				if err := os.MkdirAll("../../golden", 0o777); err != nil {
					t.Fatal(err)
				}
				if err := os.WriteFile(golden, []byte(printed), 0o666); err != nil {
					t.Fatal(err)
				}
			}
			kept, err := os.ReadFile(golden)
			if err != nil {
				t.Fatal(err)
			}
			got, want := decoded(t, printed), decoded(t, string(kept))
			if diff := cmp.Diff(want, got, cmpopts.EquateApprox(1e-9, 1e-9)); diff != "" {
				t.Errorf("the result changed (- was, + is); go test ./cmd/markaudit/internal/cli -update keeps the new one\n%s", diff)
			}
		})
	}
}

func decoded(t *testing.T, text string) (object map[string]any) {
	t.Helper()
	if err := json.Unmarshal([]byte(text), &object); err != nil {
		t.Fatal(err)
	}
	return object
}

// The keys that other programs rely on, as the contract lists them, typed here
// a second time.
var promised = map[string]string{
	"":      "format software digest sheet title confidence tdc marks common_shift warnings",
	"tdc":   "method trials setups repeatability_deg dof standard_uncertainty_deg throw_to_tdc_deg by_setup",
	"setup": "setup by method reading_deg half_arc_deg half_arc_sd_deg pin_offset_correction_deg trials",
	"mark": `name nominal_deg nominal_text comes_up_at_deg offset_deg standard_uncertainty_deg effective_dof
		expanded_uncertainty_deg interval_deg tolerance_deg conformity_probability early_probability late_probability risk verdict covers not_included
		arc_mm arc_expanded_mm chord_mm teeth scribe to_decide budget`,
	"mark scribe":  "direction along move arc_mm chord_mm worthwhile withheld check",
	"row":          "source evaluation distribution half_width_deg n dof sensitivity standard_uncertainty_deg share shared",
	"shift":        "offset_deg expanded_uncertainty_deg homogeneity_p finding stands_out scribe text",
	"shift scribe": "move direction along arc_mm",
	"warning":      "code text setup mark",
}

// allowedWords are those that a key may hold.
var allowedWords = map[string][]string{
	"method":     {"stop", "equal drop", "sweep", "dial", "mixed"},
	"verdict":    {"within", "outside", "undecided"},
	"covers":     {"repeatability", "remounting"},
	"direction":  {"clockwise", "anticlockwise", "none"},
	"along":      {"running", "against", "none"},
	"finding":    {"none", "common", "individual", "single mark", "unknown"},
	"evaluation": {"A", "B"},
}

func TestJSONKeys(t *testing.T) {
	t.Chdir(top + "testdata/sheets/good")
	sheets, err := filepath.Glob("*.yaml")
	if err != nil {
		t.Fatal(err)
	}
	seen := map[string]int{}
	for _, name := range sheets {
		printed, trouble, _ := call(t, "", "audit", name, "--format", "json")
		if printed == "" {
			t.Fatal(trouble)
		}
		have := func(kind string, value any) map[string]any {
			object, ok := value.(map[string]any)
			if !ok {
				t.Fatalf("%s: %s is %v, want an object", name, kind, value)
			}
			seen[kind]++
			for _, key := range strings.Fields(promised[kind]) {
				if _, ok := object[key]; !ok {
					t.Errorf("%s: %s lacks the key %s", name, kind, key)
				}
			}
			for key, allowed := range allowedWords {
				if word, ok := object[key].(string); ok && !slices.Contains(allowed, word) {
					t.Errorf("%s: %s.%s is %q, want one of %q", name, kind, key, word, allowed)
				}
			}
			return object
		}
		each := func(kind string, list any, then func(map[string]any)) {
			items, ok := list.([]any)
			if !ok {
				t.Fatalf("%s: the list of each %s is %v", name, kind, list)
			}
			for _, item := range items {
				then(have(kind, item))
			}
		}
		leaf := func(map[string]any) {}
		root := have("", decoded(t, printed))
		if root["tdc"] != nil {
			each("setup", have("tdc", root["tdc"])["by_setup"], leaf)
		}
		each("mark", root["marks"], func(mark map[string]any) {
			scribe := have("mark scribe", mark["scribe"])
			if scribe["direction"] == "none" && (scribe["along"] != "none" || scribe["arc_mm"] != nil || scribe["chord_mm"] != nil) {
				t.Errorf("%s: %v: an instruction without direction says more: %v", name, mark["name"], scribe)
			}
			each("row", mark["budget"], leaf)
		})
		have("shift scribe", have("shift", root["common_shift"])["scribe"])
		each("warning", root["warnings"], leaf)
	}
	for _, kind := range slices.Sorted(maps.Keys(promised)) {
		if seen[kind] == 0 {
			t.Errorf("no good sheet shows a %q", kind)
		}
	}
}

// The keys that are there where a sheet uses what they tell of, by the way to
// them from the top; the first entry of a list stands for all.
var promisedWhereUsed = map[string]map[string]string{
	"piston.yaml": {
		"marks":        "nominal_drop_mm drop_mm tolerance_drop_mm tolerance_early_deg tolerance_late_deg",
		"tdc by_setup": "mounting cylinder points fit_standard_uncertainty_deg",
	},
	"plug-hole.yaml": {
		"marks":        "drop_mm drop_expanded_mm drop_nominal_mm side_told",
		"tdc by_setup": "top_mm top_sd_mm closing_difference_mm",
	},
	"ring.yaml": {
		"":               "groups between_groups slip",
		"groups":         "name marks offset_deg expanded_uncertainty_deg finding stands_out",
		"between_groups": "from to offset_deg expanded_uncertainty_deg differ",
		"marks":          "on",
	},
	"banks.yaml": {
		"":             "cylinders",
		"cylinders":    "from to declared_deg angle_deg standard_uncertainty_deg expanded_uncertainty_deg mountings differs",
		"marks":        "cylinder",
		"tdc by_setup": "mounting cylinder",
	},
	"sweep.yaml": {
		"methods": "first second second_later_by_deg expanded_uncertainty_deg same_mounting differ",
	},
	"spacings.yaml": {
		"spacings": "from to unit measured by_readings expanded_uncertainty nominal differs",
	},
	"depths.yaml": {
		"rock": "height_mm expanded_uncertainty_mm deep_against_shallow_deg seen used setups",
	},
	"window.yaml": {
		"marks scribe":        "window",
		"common_shift scribe": "window",
	},
}

func TestJSONKeysWhereUsed(t *testing.T) {
	t.Chdir(top + "testdata/sheets/good")
	for name, places := range promisedWhereUsed {
		printed, trouble, _ := call(t, "", "audit", name, "--format", "json")
		if printed == "" {
			t.Fatal(trouble)
		}
		for way, keys := range places {
			var at any = decoded(t, printed)
			for _, step := range append(strings.Fields(way), "") {
				if list, ok := at.([]any); ok && len(list) > 0 {
					at = list[0]
				}
				if step != "" {
					at = at.(map[string]any)[step]
				}
			}
			object, ok := at.(map[string]any)
			if !ok {
				t.Errorf("%s: nothing at %q", name, way)
				continue
			}
			for _, key := range strings.Fields(keys) {
				if _, ok := object[key]; !ok {
					t.Errorf("%s: %q lacks the key %s", name, way, key)
				}
			}
		}
	}
}
