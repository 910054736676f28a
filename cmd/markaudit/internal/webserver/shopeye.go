package webserver

import (
	"bytes"
	"errors"
	"strings"

	"markaudit/audit/job"
	"markaudit/audit/report/words"
	"markaudit/audit/sheet"
	"markaudit/cmd/markaudit/internal/folder"
)

// eyeAnswer is what the check by eye comes to: yes only where all that was seen is as
// the sheet says. An empty one takes the answer before back.
func eyeAnswer(j folder.Job, form interface{ Get(string) string }) (string, error) {
	if j.Result != nil && j.Result.Sheet.EyeCheckFailed() && form.Get("again") != "" {
		return "", nil
	}
	if j.Result == nil || !job.Scribes(*j.Result) {
		return "", errors.New("there is nothing to look at for this job now")
	}
	if form.Get("again") != "" {
		return "", nil
	}
	check := j.Result.Advice.Check
	way, rim := form.Get("way"), form.Get("rim")
	switch {
	case way != "clockwise" && way != "anticlockwise" && way != "neither":
		return "", errors.New("found no way, expected clockwise, anticlockwise or neither, as you see it at the engine")
	case check.Round > 0 && rim != job.Yes && rim != job.No:
		return "", errors.New("found nothing about the tape, expected yes or no")
	case way == check.Rotation.String() && (check.Round == 0 || rim == job.Yes):
		return job.Yes, nil
	}
	return job.No, nil
}

// answeredSo is by whom something was said, and when.
func answeredSo(s job.Said) string {
	if s.By == "" {
		return s.Time
	}
	return words.Clean(s.By) + ", " + s.Time
}

// failedBy is by whom the check by eye was made that the sheet calls not as said: the
// journal knows the hour, else it is what the sheet says.
func failedBy(j folder.Job) string {
	if j.Told.Eye.Answer == job.No {
		return answeredSo(j.Told.Eye)
	}
	var parts []string
	for _, text := range []string{j.Result.Sheet.After.By, j.Result.Sheet.After.Date} {
		if text != "" {
			parts = append(parts, words.Clean(text))
		}
	}
	return strings.Join(append(parts, "as the sheet has it"), ", ")
}

// withoutFailed takes a check by eye that failed off a sheet in which something was put
// right, so that it is asked again. Where only a person can take it off, it stays.
func withoutFailed(file string, before, after []byte) []byte {
	if bytes.Equal(before, after) {
		return after
	}
	f, err := sheet.ReadForm(shownFile(file), after)
	if err != nil {
		return after
	}
	if f, err = job.WithoutFailed(f); err != nil {
		return after
	}
	return []byte(f.Text())
}
