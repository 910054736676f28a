package cli

import (
	"encoding/json"
	"maps"
	"slices"
	"testing"

	"github.com/google/go-cmp/cmp"
)

// The keys of a study are a promise, so they are typed here a second time. They
// are there also where one value can tell nothing.
func TestRepeatJSONKeys(t *testing.T) {
	study := []string{
		"absent", "anova", "bias_from_known_deg", "bias_from_known_interval_deg", "bias_of_mark_expanded_deg", "categories", "categories_ratio", "confidence", "flags", "h_critical_1pct", "h_critical_5pct", "interaction_interval_deg",
		"interaction_pooled", "interaction_sd_deg", "job_record", "k_critical_1pct", "k_critical_5pct", "mark_interval_deg", "mark_sd_deg", "marks", "method",
		"not_known", "one_letter_apart", "operator_interval_deg", "operator_sd_deg", "operators", "people_differ_p", "repeatability_dof", "repeatability_interval_deg",
		"repeatability_sd_deg", "reproducibility_interval_deg", "reproducibility_sd_deg", "share_of_tolerance", "slips", "steadiest", "taken_as_one", "together", "tolerance_deg", "values_are",
	}
	operator := []string{
		"by", "by_mark", "dof", "drift_deg_per_trial", "drift_p", "forward_later_deg", "h", "half_arc_creep_deg_per_trial", "half_arc_creep_p",
		"half_arc_sd_deg", "k", "k_critical_1pct", "last_digits_p", "mean_deg", "mean_interval_deg", "mean_p", "mean_value_deg", "middle_sd_deg",
		"n", "sd_deg", "sd_interval_deg", "text",
	}
	for name, text := range map[string]string{
		"one value": "by,mark,value\nAna,TDC,0.4\n",
		"a class":   "by,mark,value\nAna,TDC,0.4\nBen,TDC,0.5\nAna,TDC,0.45\nBen,TDC,0.6\n",
	} {
		out, complaints, status := call(t, text, "repeat", "-", "--format", "json")
		if status != 0 {
			t.Fatalf("%s: status %d: %s", name, status, complaints)
		}
		var object map[string]any
		if err := json.Unmarshal([]byte(out), &object); err != nil {
			t.Fatal(err)
		}
		if diff := cmp.Diff(study, slices.Sorted(maps.Keys(object))); diff != "" {
			t.Errorf("%s:\n%s", name, diff)
		}
		for _, o := range object["operators"].([]any) {
			if diff := cmp.Diff(operator, slices.Sorted(maps.Keys(o.(map[string]any)))); diff != "" {
				t.Errorf("%s:\n%s", name, diff)
			}
		}
	}
}
