package cli

import (
	"encoding/json"
	"strings"
	"testing"
)

// A study of stops can be computed anew from its JSON alone, readings and settings,
// and comes to the same.
func TestStudyAnewFromItsRecord(t *testing.T) {
	type page struct {
		Verdict string   `json:"verdict"`
		Bias    *float64 `json:"bias_deg"`
		Record  struct {
			Asked []struct {
				Name, Value string
				Stated      bool
			}
			Readings []struct {
				Where  string
				Text   string `json:"as_written"`
				Struck *string
			}
		} `json:"job_record"`
	}
	read := func(text string) (p page) {
		if err := json.Unmarshal([]byte(text), &p); err != nil {
			t.Fatal(err)
		}
		return p
	}
	for _, name := range []string{"new-stop", "bent-tip", "soft-lock"} {
		out, complaints, status := call(t, "", "qualify", top+"testdata/qualify/"+name+".csv", "--allowed-bias", "0.1", "--step", "0.05", "--stroke", "92 mm", "--rod", "152 mm", "--format", "json")
		if status != 0 {
			t.Fatal(complaints)
		}
		first := read(out)
		args := []string{"qualify", "-", "--format", "json"}
		for _, a := range first.Record.Asked {
			if a.Stated {
				args = append(args, "--"+a.Name+"="+a.Value)
			}
		}
		csv := "tool,setup,trial,approach,reading,struck\n"
		for _, r := range first.Record.Readings {
			parts := strings.Split(r.Where, ", ")
			struck := ""
			if r.Struck != nil {
				struck = *r.Struck
			}
			csv += strings.Join([]string{parts[0], strings.TrimPrefix(parts[1], "setup "), strings.TrimPrefix(parts[2], "trial "), parts[3], r.Text, struck}, ",") + "\n"
		}
		out, complaints, status = call(t, csv, args...)
		if status != 0 {
			t.Fatal(complaints)
		}
		if anew := read(out); anew.Verdict != first.Verdict || *anew.Bias != *first.Bias {
			t.Errorf("%s: %s with %g, anew %s with %g", name, first.Verdict, *first.Bias, anew.Verdict, *anew.Bias)
		}
	}
}
