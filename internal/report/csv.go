package report

import (
	"encoding/csv"
	"io"
	"strconv"
	"strings"

	"plumbrule/internal/review"
	"plumbrule/internal/wording"
)

// csvColumns are the columns of the table; later ones may be added at the end.
var csvColumns = []string{"job", "check", "discipline", "severity", "outcome", "subject", "measure", "limit", "utilisation",
	"file", "line", "column", "cite", "finding", "remedy", "needs", "excused", "reasons"}

// CSV writes the reviews as one table (RFC 4180) with a row for each outcome.
// Numbers are written plainly; any other cell that a spreadsheet would take
// for a formula begins with an apostrophe.
func CSV(w io.Writer, list []*review.Review) error {
	c := csv.NewWriter(w)
	c.UseCRLF = true
	if err := c.Write(csvColumns); err != nil {
		return err
	}
	for _, r := range list {
		for i := range r.Outcomes {
			if err := c.Write(csvRow(r, &r.Outcomes[i])); err != nil {
				return err
			}
		}
	}
	c.Flush()
	return c.Error()
}

func csvRow(r *review.Review, o *review.Outcome) []string {
	row := []string{wording.JobFile(r), o.Check.ID, o.Check.Discipline, string(o.Check.Severity), string(o.Result), o.Subject.Label()}
	measure, limit, utilisation := "", "", ""
	if o.Measure != nil {
		measure = o.Measure.Text
	}
	if o.Limit != nil {
		limit = string(o.LimitKind) + " " + o.Limit.Text
	}
	if o.Utilisation != nil {
		utilisation = strconv.FormatFloat(*o.Utilisation, 'g', -1, 64)
	}
	file, line, column := "", "", ""
	if p := place(o.At); p != nil {
		file, line, column = p.File, strconv.Itoa(p.Line), strconv.Itoa(p.Column)
	}
	excused := ""
	if o.Excused != nil {
		excused = o.Excused.By + ": " + o.Excused.Reason
	}
	row = append(row, measure, limit, utilisation, file, line, column, strings.Join(wording.Each(o.Cites, wording.Cited), "; "),
		o.Finding, o.Remedy, strings.Join(wording.KeysOf(o), "; "), excused, strings.Join(wording.Each(o.Reasons, wording.FirstLine), "; "))
	return wording.Each(row, harmless)
}

// harmless keeps a cell from running as a formula in a spreadsheet. A cell
// that is a number as a whole stays one.
func harmless(cell string) string {
	if _, err := strconv.ParseFloat(cell, 64); err == nil || !strings.ContainsAny(cell[:min(1, len(cell))], "=+-@\t\r") {
		return cell
	}
	return "'" + cell
}
