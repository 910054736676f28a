package cli

import (
	"encoding/json"
	"os"
	"path/filepath"
	"strings"
	"testing"
)

// The trusted stop's own study is carried on from its file, and so are those behind it.
func TestChainOfStops(t *testing.T) {
	folder := t.TempDir()
	keep := func(name, text string) string {
		path := filepath.Join(folder, name)
		if err := os.WriteFile(path, []byte(text), 0o666); err != nil {
			t.Fatal(err)
		}
		return path
	}
	study := func(file string, more ...string) (string, string, int) {
		return call(t, "", append([]string{"qualify", file, "--allowed-bias", "0.1", "--step", "0.05", "--format", "json"}, more...)...)
	}
	first, next := top+"testdata/qualify/new-stop.csv", top+"testdata/qualify/next-stop.csv"
	type result struct {
		Bias  float64 `json:"bias_deg"`
		Chain []struct {
			Stop     string   `json:"stop"`
			Bias     float64  `json:"bias_deg"`
			Expanded float64  `json:"expanded_uncertainty_deg"`
			Digest   *string  `json:"sha256"`
			DOF      *float64 `json:"dof"`
		} `json:"chain"`
	}
	good, told, status := study(first, "--name", "B-17", "--against", "A-02", "--trusted", "0.01 ± 0.02")
	if status != 0 {
		t.Fatal(told)
	}
	text, told, status := study(next, "--name", "C-03", "--trusted", keep("b-17.json", good))
	if status != 0 {
		t.Fatal(told)
	}
	var got result
	if err := json.Unmarshal([]byte(text), &got); err != nil {
		t.Fatal(err)
	}
	if len(got.Chain) != 2 || got.Chain[0].Stop != "B-17" || got.Chain[1].Stop != "A-02" {
		t.Fatalf("found the chain %+v, expected B-17, then A-02", got.Chain)
	}
	b, a := got.Chain[0], got.Chain[1]
	if b.Digest == nil || len(*b.Digest) != 64 || b.DOF == nil || a.Digest != nil || a.DOF != nil {
		t.Errorf("found %+v, expected a study with its digest, and a stated bias without", got.Chain)
	}
	if d := a.Expanded - 0.02; d < -0.0005 || d > 0.0005 { // 1.96 for 2
		t.Errorf("found ± %g of what was stated, expected 0.02", a.Expanded)
	}
	// Against B-17 alone the mean of its five setups is -0.004, by hand from the table.
	if d := got.Bias - (-0.004 + b.Bias + a.Bias); d < -1e-9 || d > 1e-9 {
		t.Errorf("found a bias of %g, expected the sum of the chain", got.Bias)
	}
	// The certificate of the trusted stop is that of its own study, and may have ended.
	record := keep("record.yaml", "instruments: [{role: new stop, name: B-17, number: \"17\", due: 2026-04-01}]\n")
	good, told, status = study(first, "--name", "B-17", "--against", "A-02", "--trusted", "0.01 ± 0.02", "--job-record", record)
	if status != 0 {
		t.Fatal(told)
	}
	for day, overdue := range map[string]bool{"2026-04-01": false, "2026-04-02": true} {
		out, told, status := call(t, "", "qualify", next, "--allowed-bias", "0.1", "--step", "0.05", "--name", "C-03", "--trusted", keep("due.json", good), "--date", day)
		if status != 0 || !strings.Contains(out, "B-17, number 17, ") || strings.Contains(out, "OVERDUE: The certificate of the trusted stop B-17 ended on 2026-04-01") != overdue {
			t.Errorf("on %s: %s%s", day, told, out)
		}
	}
	bare, _, _ := study(first)
	for _, c := range []struct {
		name, text, want string
		more             []string
	}{
		{"none.json", "{}", "found no result of a study of two stops", nil},
		{"broken.json", `{"verdict": "qualified", "allowed_scatter"`, "found no result of a study of two stops", nil},
		{"two.json", "[" + good + "," + good + "]", "found several results in one file", nil},
		{"open.json", strings.Replace(good, `"verdict": "qualified"`, `"verdict": "not proven"`, 1), "found the verdict not proven, expected qualified", nil},
		{"bare.json", bare, "found no name of the stop that was qualified", nil},
		{"older.json", strings.Replace(good, `"bias_standard_error_deg"`, `"other"`, 1), "expected one of this version", nil},
		{"absurd.json", strings.Replace(good, `"bias_dof": 5`, `"bias_dof": -5`, 1), "found numbers in the result that no study gives", nil},
		{"other.json", good, "found a study that qualified B-17, expected one of X-1", []string{"--against", "X-1"}},
		{"itself.json", good, "found A-02 as the new stop", []string{"--name", "A-02"}},
	} {
		out, told, status := study(next, append(c.more, "--trusted", keep(c.name, c.text))...)
		if status != 2 || out != "" || !strings.Contains(told, c.want) || !strings.Contains(told, c.name) && c.name != "itself.json" {
			t.Errorf("%s: status %d, found %q, expected %q", c.name, status, told, c.want)
		}
	}
	if _, told, status := study(first, "--name", "C-03", "--trusted", keep("b-17.json", good)); status != 2 || !strings.Contains(told, "found the readings that B-17 was qualified by") {
		t.Errorf("the same readings twice: status %d, %q", status, told)
	}
}
