// Package wording holds what all reports say alike: the notice and the cautions,
// citations, counts, the grouping of like findings and their numbers, and text
// made safe for terminals, Markdown and XML.
package wording

import (
	"fmt"
	"strings"

	"plumbrule/internal/codebook"
	"plumbrule/internal/job"
	"plumbrule/internal/review"
)

// Notice stands in every report.
const Notice = "A preflight aid: the authority having jurisdiction and licensed professionals decide."

// Cautions are the dangers of the trade that every report recalls.
var Cautions = []string{
	"Shock: an array is live in any daylight; a string stays live with every switch open.",
	"Falls: no roof work without fall protection; skylights and old sheet do not carry a person.",
	"Fire: a poor connection feeds an arc that does not go out; keep the fire service's ways clear.",
}

// Cited is a citation in the same words, with its note.
func Cited(c review.Citation) string {
	s := job.EditionName(c.Code, c.Edition)
	if c.Section != "" {
		s += " " + c.Section
	}
	if c.Note != "" {
		s += " (" + c.Note + ")"
	}
	return s
}

// JobFile is the name of the job's file as it was given.
func JobFile(r *review.Review) string {
	if len(r.Job.Files) == 0 {
		return ""
	}
	return r.Job.Files[0].Name
}

// Plural counts a thing: "1 correction", "2 corrections".
func Plural(n int, one, many string) string {
	if n == 1 {
		return fmt.Sprintf("%d %s", n, one)
	}
	return fmt.Sprintf("%d %s", n, many)
}

// BySeverity says how many outcomes of each severity are outstanding, gravest
// first; "" when none is.
func BySeverity(n map[codebook.Severity]int) string {
	var out []string
	for _, s := range codebook.Severities {
		if n[s] == 0 {
			continue
		}
		switch s {
		case codebook.Correction:
			out = append(out, Plural(n[s], "correction", "corrections"))
		case codebook.Verify:
			out = append(out, fmt.Sprintf("%d to verify", n[s]))
		case codebook.Advisory:
			out = append(out, Plural(n[s], "advisory", "advisories"))
		}
	}
	return strings.Join(out, ", ")
}

// Remarks are what a reader has to know of the review itself, in groups: checks
// that had nothing to look at, the authority whose word it stands under, deviations
// that excused nothing, and defects.
func Remarks(r *review.Review) [][]string {
	var idle, unused, defects []string
	if len(r.Idle) > 0 {
		idle = []string{Plural(len(r.Idle), "check", "checks") + " had nothing to look at in this job: " + strings.Join(r.Idle, ", ") + "."}
	}
	for _, d := range r.Unused {
		of := ""
		if d.Subject.Known {
			of = " for " + d.Subject.Value
		}
		unused = append(unused, fmt.Sprintf("The accepted deviation from %s%s excused nothing (%s).", d.Check.Value, of, d.Check.At.Position()))
	}
	for _, d := range r.Defects() {
		defects = append(defects, "Defect of the program, not of the job: "+FirstLine(d))
	}
	return [][]string{idle, Authority(r.Book), unused, defects}
}
