package report

import (
	"encoding/csv"
	"io"
	"iter"
	"regexp"
	"strconv"
	"strings"

	"plumbrule/internal/codebook"
	"plumbrule/internal/review"
	"plumbrule/internal/wording"
)

// csvColumns are the columns of the table; later ones may be added at the end.
var csvColumns = []string{"job", "number", "causes", "severity", "outcome", "check", "discipline", "title", "subject", "sheet", "finding", "remedy",
	"measure", "limit", "utilisation", "needs", "reasons", "excused", "file", "line", "column", "cite", "claimed", "listed", "state", "response", "program", "rule_set"}

// csvRow is a row of the table, by column.
type csvRow map[string]string

// CSV writes the reviews as one table (RFC 4180): first the comments, a row for
// each subject and for each key left out, then a row for each further outcome
// that is asked for, with the comments that it comes of as its causes. Numbers
// are written plainly; any other cell that a spreadsheet could take for a formula
// begins with an apostrophe, and what steers a terminal or turns the direction of
// writing is shown as "?".
func CSV(w io.Writer, reviews iter.Seq[*review.Review], o Options) error {
	c := csv.NewWriter(w)
	c.UseCRLF = true
	write := func(row csvRow) error {
		return c.Write(wording.Each(csvColumns, func(name string) string { return harmless(row[name]) }))
	}
	if err := c.Write(csvColumns); err != nil {
		return err
	}
	for r := range reviews {
		made := func(row csvRow) error {
			row["program"], row["rule_set"] = o.Version, r.Book.Hash
			return write(row)
		}
		if err := csvReview(made, r, o); err != nil {
			return err
		}
	}
	c.Flush()
	return c.Error()
}

func csvReview(write func(csvRow) error, r *review.Review, o Options) error {
	told, states := map[*review.Outcome]bool{}, wording.RoundsOf(r)
	for _, c := range r.Comments() {
		rows := csvKeys(r, c)
		for _, x := range c.Subjects {
			told[x] = true
			rows = append(rows, csvOutcome(r, x, nil, wording.SheetOf(r.Job, c)))
		}
		for _, row := range rows {
			row["state"], row["response"] = states.Item(row["number"]), states.Response(r, c.Number)
			if err := write(row); err != nil {
				return err
			}
		}
	}
	of := causes(r)
	for i := range r.Outcomes {
		if x := &r.Outcomes[i]; o.shows(x) && !told[x] {
			if err := write(csvOutcome(r, x, of[x], "")); err != nil {
				return err
			}
		}
	}
	for _, rec := range earlier(r) {
		for _, item := range rec.Items {
			if item.State.Open() && len(item.ComesOf) == 0 {
				continue // told above
			}
			row := csvRow{"job": wording.JobFile(r), "number": item.Number, "severity": string(rec.Severity), "check": rec.Check, "title": wording.RecordHeading(rec),
				"subject": item.Subject, "needs": item.Need, "causes": strings.Join(wording.Each(item.ComesOf, strconv.Itoa), "; "), "state": string(item.State), "response": wording.ResponseTo(r, rec)}
			if err := write(row); err != nil {
				return err
			}
		}
	}
	for _, d := range r.Deviations {
		if d.Finding == "" && d.Counts {
			continue // told with what it excuses
		}
		if err := write(csvDeviation(r, d)); err != nil {
			return err
		}
	}
	if text := partly(r); text != "" {
		return write(csvRow{"job": wording.JobFile(r), "reasons": text})
	}
	return nil
}

// csvKeys is a row for each thing that a comment asks for.
func csvKeys(r *review.Review, c *review.Comment) []csvRow {
	if c.Check != nil {
		return nil
	}
	var out []csvRow
	asked := wording.Asked(c)
	for i, m := range asked {
		row := csvRow{"job": wording.JobFile(r), "number": c.NumberOf(i, len(asked)), "severity": string(c.Severity), "outcome": string(c.Result),
			"title": wording.Heading(c), "sheet": wording.SheetOf(r.Job, c), "needs": m.Need.String(),
			"finding": "not stated: " + m.Need.String(), "remedy": "state " + m.Need.String()}
		row.place(place(wording.Belonging(m)))
		out = append(out, row)
	}
	return out
}

func csvOutcome(r *review.Review, o *review.Outcome, of []int, sheet string) csvRow {
	row := csvRow{"job": wording.JobFile(r), "number": r.Number(o), "causes": strings.Join(wording.Each(of, strconv.Itoa), "; "),
		"severity": string(o.Check.Severity), "outcome": string(o.Result), "check": o.Check.ID, "discipline": o.Check.Discipline, "title": o.Check.Title,
		"subject": o.Subject.Label(), "sheet": sheet, "finding": o.Finding, "remedy": o.Remedy,
		"needs": strings.Join(wording.NeedsOf(o), "; "), "reasons": strings.Join(wording.Each(o.Reasons, wording.FirstLine), "; "),
		"cite": strings.Join(wording.Each(o.Cites, wording.Cited), "; ")}
	if o.Result == review.NotApplicable {
		row["reasons"] = wording.FirstLine(o.Why())
	}
	if o.Measure != nil {
		row["measure"] = o.Measure.Text
	}
	if o.Limit != nil {
		row["limit"] = string(o.LimitKind) + " " + o.Limit.Text
	}
	if o.Utilisation != nil {
		row["utilisation"] = strconv.FormatFloat(*o.Utilisation, 'g', -1, 64)
	}
	if o.Excused != nil {
		row["excused"] = wording.AcceptedBy(o.Excused) + ": " + o.Excused.Reason.Value
	}
	if o.Claimed != nil {
		row["claimed"] = wording.AcceptedBy(o.Claimed) + ": " + o.Claimed.Reason.Value
	}
	if o.Listed {
		row["listed"] = "yes"
	}
	row.place(place(o.At))
	return row
}

func (row csvRow) place(p *placeDoc) {
	if p != nil {
		row["file"], row["line"], row["column"] = p.File, strconv.Itoa(p.Line), strconv.Itoa(p.Column)
	}
}

// plainNumber is what every spreadsheet reads as a number and nothing else.
var plainNumber = regexp.MustCompile(`^[-+]?[0-9]+(\.[0-9]+)?([eE][-+]?[0-9]+)?$`)

// formula is how a cell begins that a spreadsheet may run: with a sign that opens
// a formula, in its wide and small forms too and as a minus of its own, behind
// spaces, signs that are not seen, and quotation marks, which may be dropped before it.
var formula = regexp.MustCompile(`^[\s\pZ\p{Cf}"'` + "`" + `“”‘’«»]*[-=+@|%＝＋－＠﹦﹢﹣﹫−‐‑]`)

// inner is where a cell would go on as a formula in the next one, in a spreadsheet
// whose list separator is a semicolon.
var inner = regexp.MustCompile(`(;)([\s\pZ\p{Cf}"']*[-=+@])`)

// harmless keeps a cell from running as a formula in a spreadsheet, and from
// steering a terminal on which the table is read. A break of the line within a
// cell is a space.
func harmless(cell string) string {
	open := strings.HasPrefix(cell, "\t") || strings.HasPrefix(cell, "\r") || strings.HasPrefix(cell, "\n")
	cell = inner.ReplaceAllString(wording.Plain(cell), "$1'$2")
	if plainNumber.MatchString(cell) || !open && !formula.MatchString(cell) {
		return cell
	}
	return "'" + cell
}

// csvDeviation is the row of a deviation that excuses nothing, or of a claim.
func csvDeviation(r *review.Review, d *review.Deviation) csvRow {
	row := csvRow{"job": wording.JobFile(r), "outcome": "deviation", "check": d.Check.Value, "subject": d.Subject.Value, "state": string(d.Answer)}
	if d.Claim {
		row["claimed"] = wording.AcceptedBy(d) + ": " + d.Reason.Value
	}
	if d.Finding != "" {
		row["severity"], row["finding"] = string(codebook.Verify), wording.Unfounded(d)
	}
	row.place(place(d.Check.At))
	return row
}
