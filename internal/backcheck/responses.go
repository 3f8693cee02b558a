package backcheck

import (
	"fmt"
	"regexp"
	"slices"
	"strings"

	"plumbrule/internal/bound"
	"plumbrule/internal/review"
	"plumbrule/internal/schedule"
	"plumbrule/internal/source"
)

// ReadResponses reads the applicant's responses: from CSV with the columns number
// and response, or from the tables of a letter in Markdown, as the program writes
// it, with the response column filled in. Each number is one of an earlier comment,
// or of one thing that it is about. The error is source.Faults.
func ReadResponses(f *source.File, e *review.Earlier) (map[string]string, error) {
	a := &answers{reader: reader{file: f}, known: map[string]bool{}, out: map[string]string{}, at: map[string]source.Span{}}
	for _, rec := range e.Records {
		a.known[fmt.Sprint(rec.Number)] = true
		a.most = max(a.most, rec.Number)
		for _, item := range rec.Items {
			a.known[item.Number] = true
		}
	}
	if len(f.Text) > bound.FileBytes {
		return nil, source.Faults{{At: f.Start(), Message: fmt.Sprintf("the file has more than %d MiB", bound.FileBytes>>20)}}
	}
	if strings.HasSuffix(strings.ToLower(f.Name), ".md") {
		a.markdown()
	} else {
		a.table()
	}
	if err := a.faults.Err(); err != nil {
		return nil, err
	}
	return a.out, nil
}

// answers gathers responses.
type answers struct {
	reader
	known map[string]bool
	most  int // the highest number of an earlier comment
	out   map[string]string
	at    map[string]source.Span
}

// add notes a response under a number.
func (a *answers) add(number string, numberAt source.Span, text string, at source.Span) {
	number, text = strings.TrimSpace(number), strings.TrimSpace(text)
	switch {
	case !a.known[number]:
		a.fault(numberAt, fmt.Sprintf("the numbers of the earlier comments go up to %d", a.most), "there is no earlier comment %q", short([]byte(number)))
	case len(text) > mostText:
		a.fault(at, "", "the response has %d bytes, at most %d are read", len(text), mostText)
	case text == "":
	case a.out[number] != "" && a.out[number] != text:
		a.faults = append(a.faults, source.Fault{At: numberAt, Message: "comment " + number + " is answered twice", Also: []source.Further{{At: a.at[number], Note: "the first answer"}}})
	default:
		a.out[number], a.at[number] = text, numberAt
	}
}

// table reads CSV.
func (a *answers) table() {
	lines := schedule.Read(a.file, schedule.Form{Separator: schedule.Separator(a.file.Text), Plain: true})
	number, response := -1, -1
	for n := 0; ; n++ {
		fields, err := lines.Next()
		if err != nil {
			if list, ok := err.(source.Faults); ok {
				a.faults = append(a.faults, list...)
			}
			return
		}
		if fields == nil {
			break
		}
		if number < 0 {
			for i, title := range fields {
				switch strings.ToLower(strings.TrimSpace(strings.TrimPrefix(title, "\ufeff"))) {
				case "number", "no.":
					number = i
				case "response":
					response = i
				}
			}
			if number < 0 || response < 0 {
				a.fault(lines.Place(0), "a first line with the headings number and response is expected", "the headings are %s", short([]byte(strings.Join(fields, ", "))))
				return
			}
			continue
		}
		if blank(fields) {
			continue
		}
		if len(fields) <= max(number, response) {
			a.fault(lines.Place(0), "a field for each heading is expected", "the line has %d fields", len(fields))
			continue
		}
		a.add(strings.TrimPrefix(fields[number], "'"), lines.Place(number), fields[response], lines.Place(response))
	}
	if number < 0 {
		a.fault(a.file.Start(), "a first line with the headings number and response is expected", "the file has no table")
	}
}

func blank(fields []string) bool {
	return !slices.ContainsFunc(fields, func(s string) bool { return strings.TrimSpace(s) != "" })
}

// markdown reads every table that has a column for the number and one for the
// response.
func (a *answers) markdown() {
	number, response, columns, found := -1, -1, 0, false
	offset := 0
	for line := range strings.Lines(string(a.file.Text)) {
		start := offset
		offset += len(line)
		cells, places := cellsOf(line)
		if cells == nil {
			number, response = -1, -1
			continue
		}
		place := func(i int) source.Span { return a.span(start+places[i], len(cells[i])) }
		switch {
		case number < 0:
			n, r := -1, -1
			for i, cell := range cells {
				switch strings.ToLower(plainCell(cell)) {
				case "number", "no.":
					n = i
				case "response":
					r = i
				}
			}
			if n >= 0 && r >= 0 {
				number, response, columns, found = n, r, len(cells), true
			}
		case rule.MatchString(strings.TrimSpace(line)):
		case len(cells) != columns:
			a.fault(place(0), fmt.Sprintf("%d are expected; a bar within a cell is written \\|", columns), "the row has %d cells", len(cells))
		default:
			a.add(plainCell(cells[number]), place(number), plainCell(cells[response]), place(response))
		}
	}
	if !found {
		a.fault(a.file.Start(), "the letter of the earlier review, with its column for responses, is expected", "no table has the columns no. and response")
	}
}

// rule is the line below the headings of a table.
var rule = regexp.MustCompile(`^\|?[\s:|-]+$`)

// cellsOf parts a row of a table at its bars, with the place of each cell in the
// line; nil for a line that is no row.
func cellsOf(line string) (cells []string, places []int) {
	body := strings.TrimRight(line, " \t\r\n")
	lead := len(body) - len(strings.TrimLeft(body, " \t"))
	if !strings.HasPrefix(body[lead:], "|") {
		return nil, nil
	}
	start := lead + 1
	for i := start; i < len(body); i++ {
		switch body[i] {
		case '\\':
			i++
		case '|':
			cells, places = append(cells, body[start:i]), append(places, start)
			start = i + 1
		}
	}
	if start < len(body) { // the last bar may be left out
		cells, places = append(cells, body[start:]), append(places, start)
	}
	return cells, places
}

var (
	breaks  = regexp.MustCompile(`(?i)<br\s*/?>`)
	escaped = regexp.MustCompile(`\\([!-/:-@\[-` + "`" + `{-~])`)
)

// plainCell is what a cell says, without the signs of Markdown that keep its text
// from being read as something else.
func plainCell(cell string) string {
	return strings.TrimSpace(escaped.ReplaceAllString(breaks.ReplaceAllString(cell, " "), "$1"))
}
