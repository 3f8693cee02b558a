package report

import (
	"encoding/json"
	"fmt"
	"io"
	"slices"
	"strings"

	"plumbrule/internal/remedy"
	"plumbrule/internal/review"
	"plumbrule/internal/wording"
)

// Remedies writes what was tried for comments, below the remedy that each check
// states. Every value that is called tried was reviewed.
func Remedies(w io.Writer, comments []*review.Comment, found []*remedy.Remedy) error {
	p := newPage(TextOptions{})
	for i, c := range comments {
		if i > 0 {
			p.line("")
		}
		p.paragraph(0, fmt.Sprintf("%d  %s  %s", c.Number, c.Key(), c.Severity))
		if c.Check != nil {
			if says := c.Worst().Remedy; says != "" {
				p.paragraph(4, says)
			}
		}
		none := true
		for _, r := range found {
			if r.Comment != c {
				continue
			}
			none = false
			for n, line := range remedyLines(r) {
				p.paragraph(4+2*min(n, 1), line)
			}
		}
		switch {
		case c.Check == nil:
			p.paragraph(4, "A key is left out: it has to be stated, and no value is guessed.")
		case none:
			p.paragraph(4, "The check declares nothing that may vary.")
		}
	}
	if len(comments) == 0 {
		p.line("Nothing is outstanding.")
	}
	_, err := w.Write(p.Bytes())
	return err
}

// remedyLines says what came of varying one value, in lines.
func remedyLines(r *remedy.Remedy) []string {
	if r.Why != "" {
		return []string{"Nothing tried: " + r.Why + "."}
	}
	verdict := "passes, nothing worse"
	switch {
	case !r.Passes:
		verdict = "nearest miss; no value that was tried passes"
	case !r.Clean:
		verdict = "passes, but makes other things worse; no value that was tried passes without"
	}
	lines := []string{fmt.Sprintf("Tried: %s: %s -> %s: %s", r.Key, r.Old, r.New, verdict)}
	if r.Before != nil && r.After != nil {
		lines = append(lines, fmt.Sprintf("utilisation %s -> %s", wording.Ratio(*r.Before), wording.Ratio(*r.After)))
	}
	lines = append(lines, turnLines("worse", r.Worse)...)
	lines = append(lines, turnLines("better", r.Better)...)
	if r.Bounded {
		lines = append(lines, fmt.Sprintf("the search ended after %d values; there are more", r.Tried))
	}
	return lines
}

// mostTurned is how many checks that turn worse are shown with their sentence.
const mostTurned = 4

// turnLines lists what turns, a line for each check.
func turnLines(how string, turns []remedy.Turn) []string {
	var lines []string
	var order []string
	byCheck := map[string][]remedy.Turn{}
	for _, t := range turns {
		if byCheck[t.Check] == nil {
			order = append(order, t.Check)
		}
		byCheck[t.Check] = append(byCheck[t.Check], t)
	}
	for i, check := range order {
		list := byCheck[check]
		if how == "better" && i == 0 || i == mostTurned { // the rest by name
			names := slices.DeleteFunc(slices.Clone(order[i:]), func(name string) bool { return name == "" })
			if len(names) < len(order[i:]) {
				names = append(names, fmt.Sprintf("%d keys that are asked for", len(byCheck[""])))
			}
			return append(lines, how+": "+strings.Join(names, ", "))
		}
		if check == "" {
			var needs []string
			for _, t := range list {
				needs = append(needs, t.Says)
			}
			lines = append(lines, how+": asks for "+strings.Join(needs, ", "))
			continue
		}
		line := fmt.Sprintf("%s: %s (%s), %s", how, check, list[0].Severity, list[0].Subject)
		if len(list) > 1 {
			line += fmt.Sprintf(" and %d more", len(list)-1)
		}
		if how == "worse" && list[0].Says != "" {
			line += ": " + list[0].Says
		}
		lines = append(lines, line)
	}
	return lines
}

type remedyJSON struct {
	Comment int        `json:"comment"`
	Check   string     `json:"check"`
	Key     string     `json:"key,omitempty"`
	Old     string     `json:"old,omitempty"`
	New     string     `json:"new,omitempty"`
	Passes  bool       `json:"passes"`
	Clean   bool       `json:"nothing_worse"`
	Before  *float64   `json:"utilisation_before,omitempty"`
	After   *float64   `json:"utilisation_after,omitempty"`
	Worse   []turnJSON `json:"worse"`
	Better  []turnJSON `json:"better"`
	Tried   int        `json:"tried"`
	Bounded bool       `json:"bounded"`
	Why     string     `json:"nothing_tried,omitempty"`
}

type turnJSON struct {
	Check    string `json:"check,omitempty"`
	Subject  string `json:"subject,omitempty"`
	Severity string `json:"severity,omitempty"`
	Was      string `json:"was,omitempty"`
	Is       string `json:"is,omitempty"`
	Says     string `json:"says,omitempty"`
}

// RemediesJSON writes what was tried as a JSON document.
func RemediesJSON(w io.Writer, _ []*review.Comment, found []*remedy.Remedy) error {
	out := struct {
		Remedies []remedyJSON `json:"remedies"`
	}{[]remedyJSON{}}
	for _, r := range found {
		out.Remedies = append(out.Remedies, remedyJSON{r.Comment.Number, r.Comment.Check.ID, r.Key, r.Old, r.New, r.Passes, r.Passes && r.Clean,
			r.Before, r.After, turnsJSON(r.Worse), turnsJSON(r.Better), r.Tried, r.Bounded, r.Why})
	}
	e := json.NewEncoder(w)
	e.SetIndent("", "  ")
	return e.Encode(out)
}

func turnsJSON(list []remedy.Turn) []turnJSON {
	out := make([]turnJSON, len(list))
	for i, t := range list {
		out[i] = turnJSON{t.Check, t.Subject, string(t.Severity), t.Was, t.Is, t.Says}
	}
	return out
}
