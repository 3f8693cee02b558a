package report

import (
	"io"
	"strconv"

	"plumbrule/internal/codebook"
	"plumbrule/internal/review"
	"plumbrule/internal/wording"
)

// Summary is the table of many jobs that stands below their reports. It keeps
// words and numbers of the reviews, and none of them.
type Summary struct {
	gate review.Gate
	rows [][]string
}

// NewSummary begins the table; the gate says which jobs fail.
func NewSummary(gate review.Gate) *Summary {
	return &Summary{gate: gate, rows: [][]string{{"job", "verdict", "corrections", "to verify", "advisories", "gate"}}}
}

// Add puts a job into the table.
func (s *Summary) Add(r *review.Review) {
	n, gate := wording.CommentsBySeverity(r), "passes"
	if r.Exceeds(s.gate) {
		gate = "fails"
	}
	s.rows = append(s.rows, []string{wording.Plain(wording.JobFile(r)), wording.Verdict(r),
		strconv.Itoa(n[codebook.Correction]), strconv.Itoa(n[codebook.Verify]), strconv.Itoa(n[codebook.Advisory]), gate})
}

// Write writes the table, and below it what was passed over.
func (s *Summary) Write(w io.Writer, passed []string, o TextOptions) error {
	p := newPage(o)
	fails := 0
	for _, row := range s.rows {
		if row[len(row)-1] == "fails" {
			fails++
		}
	}
	p.line("")
	p.line("")
	jobs := len(s.rows) - 1
	p.line(p.heading.Sprint("ALL JOBS") + "  " + strconv.Itoa(fails) + " of " + strconv.Itoa(jobs) + " jobs fail the gate " + s.gate.String())
	widths := make([]int, len(s.rows[0]))
	for _, row := range s.rows {
		for i, cell := range row {
			widths[i] = max(widths[i], wording.Columns(cell))
		}
	}
	for _, row := range s.rows {
		line := ""
		for i, cell := range row {
			line += cell + wording.Spaces(widths[i]-wording.Columns(cell)+2)
		}
		p.line(line)
	}
	if len(passed) > 0 {
		p.line("")
		p.line("Passed over, being no jobs:")
		for _, x := range passed {
			p.line("  " + wording.Plain(x))
		}
	}
	_, err := w.Write(p.Bytes())
	return err
}
