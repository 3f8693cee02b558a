// Package backcheck reads what a review goes on from: the comments of an earlier
// one, as its JSON has them, and the applicant's responses. It decides nothing.
package backcheck

import (
	"bytes"
	"encoding/json"
	"errors"
	"fmt"
	"regexp"
	"slices"
	"strconv"
	"strings"

	"plumbrule/internal/codebook"
	"plumbrule/internal/review"
	"plumbrule/internal/source"
)

// Bounds of what is read, so that a hostile file cannot make it long.
const (
	MaxSize     = 64 << 20 // bytes of the JSON of a review
	mostRecords = 100_000  // comments
	mostItems   = 500_000  // things that they are about
	mostNumber  = 1_000_000
	mostRounds  = 999
	mostText    = 2_000 // characters of a text
	mostFaults  = 20    // that are told
)

// format is the one that is read: what an earlier program wrote has no hash of
// what each outcome read, without which nothing tells unchanged from changed.
const format = 3

// member is a member of an object, or an entry of a list, with its place.
type member struct {
	name  string
	value []byte
	at    source.Span
}

// reader reads one file and gathers faults.
type reader struct {
	file   *source.File
	faults source.Faults
}

func (r *reader) fault(at source.Span, expected, message string, a ...any) {
	if len(r.faults) < mostFaults {
		r.faults = append(r.faults, source.Fault{At: at, Message: fmt.Sprintf(message, a...), Expected: expected})
	}
}

func (r *reader) span(start, length int) source.Span {
	start = min(max(start, 0), len(r.file.Text))
	return source.Span{File: r.file, Start: start, End: min(start+length, len(r.file.Text))}
}

// ReadEarlier reads the JSON of a review. The error is source.Faults, each with its
// place.
func ReadEarlier(f *source.File) (*review.Earlier, error) {
	r := &reader{file: f}
	if len(f.Text) > MaxSize {
		return nil, source.Faults{{At: f.Start(), Message: fmt.Sprintf("the file has more than %d MiB", MaxSize>>20), Expected: "the JSON of a review without --all is expected"}}
	}
	var whole json.RawMessage
	if err := json.Unmarshal(f.Text, &whole); err != nil {
		at := f.Start()
		var syntax *json.SyntaxError
		if errors.As(err, &syntax) {
			at = r.span(int(syntax.Offset)-1, 1)
		}
		return nil, source.Faults{{At: at, Message: "not JSON: " + err.Error(), Expected: "what plumbrule check --write FILE.json wrote is expected"}}
	}
	e := r.earlier(r.object(member{value: f.Text, at: r.span(0, 1)}))
	if err := r.faults.Err(); err != nil {
		return nil, err
	}
	return e, nil
}

// object gives the members of an object with their places; it refuses one that
// stands twice, of which readers take different ones.
func (r *reader) object(m member) map[string]member {
	out := map[string]member{}
	d := json.NewDecoder(bytes.NewReader(m.value))
	if t, err := d.Token(); err != nil || t != json.Delim('{') {
		r.fault(m.at, "an object is expected", "%s: found %s", m.called(), kindOf(m.value))
		return nil
	}
	for d.More() {
		key, err := d.Token()
		if err != nil {
			return nil // the text was read before
		}
		x := r.next(d, m, key.(string))
		if _, twice := out[x.name]; twice {
			r.fault(x.at, "", "%q stands twice", x.name)
		}
		out[x.name] = x
	}
	return out
}

// list gives the entries of a list with their places.
func (r *reader) list(m member, most int) []member {
	d := json.NewDecoder(bytes.NewReader(m.value))
	if t, err := d.Token(); err != nil || t != json.Delim('[') {
		r.fault(m.at, "a list is expected", "%s: found %s", m.called(), kindOf(m.value))
		return nil
	}
	var out []member
	for d.More() {
		if len(out) == most {
			r.fault(m.at, "", "%s: more than %d entries", m.called(), most)
			return nil
		}
		out = append(out, r.next(d, m, m.name))
	}
	return out
}

// next reads the value that comes next within a member.
func (r *reader) next(d *json.Decoder, within member, name string) member {
	var raw json.RawMessage
	if err := d.Decode(&raw); err != nil {
		return member{name: name, at: within.at} // the text was read before
	}
	start := within.at.Start + int(d.InputOffset()) - len(raw)
	return member{name, raw, r.span(start, min(len(raw), 40))}
}

func (m member) called() string {
	if m.name == "" {
		return "the file"
	}
	return m.name
}

// kindOf says what a value is.
func kindOf(value []byte) string {
	switch value = bytes.TrimSpace(value); {
	case len(value) == 0:
		return "nothing"
	case value[0] == '{':
		return "an object"
	case value[0] == '[':
		return "a list"
	case value[0] == '"':
		return "a text"
	case value[0] == 't' || value[0] == 'f':
		return "true or false"
	case value[0] == 'n':
		return "null"
	}
	return "a number"
}

// get gives a member that has to be there.
func (r *reader) get(of map[string]member, owner source.Span, name string) (member, bool) {
	m, found := of[name]
	if !found && of != nil {
		r.fault(owner, "", "%s is missing", name)
	}
	return m, found
}

func (r *reader) text(of map[string]member, owner source.Span, name string) string {
	m, found := r.get(of, owner, name)
	var text string
	switch {
	case !found:
	case json.Unmarshal(m.value, &text) != nil || kindOf(m.value) == "null":
		r.fault(m.at, "a text is expected", "%s: found %s", name, kindOf(m.value))
	case len(text) > mostText:
		r.fault(m.at, "", "%s: the text has %d bytes, at most %d are read", name, len(text), mostText)
	}
	return text
}

func (r *reader) number(of map[string]member, owner source.Span, name string, least, most int) int {
	m, found := r.get(of, owner, name)
	n := least
	if found && (json.Unmarshal(m.value, &n) != nil || kindOf(m.value) == "null" || n < least || n > most) {
		r.fault(m.at, fmt.Sprintf("a whole number from %d to %d is expected", least, most), "%s: found %s", name, short(m.value))
		n = least
	}
	return n
}

func short(value []byte) string {
	if len(value) > 40 {
		return string(bytes.ToValidUTF8(value[:40], nil)) + "..."
	}
	return string(value)
}

func (r *reader) earlier(top map[string]member) *review.Earlier {
	start := r.span(0, 1)
	switch schema := r.text(top, start, "schema"); {
	case len(r.faults) > 0:
		return nil
	case schema == "plumbrule reviews":
		r.fault(top["schema"].at, "the JSON of one job is expected", "the file has the reviews of several jobs")
		return nil
	case schema != "plumbrule review":
		r.fault(top["schema"].at, `"plumbrule review" is expected`, "schema: found %q", schema)
		return nil
	}
	if n := r.number(top, start, "format", 0, mostNumber); n != format || len(r.faults) > 0 {
		if len(r.faults) == 0 {
			r.fault(top["format"].at, fmt.Sprintf("format %d is read; review the earlier job again with this version", format), "the file has format %d of the JSON of a review", n)
		}
		return nil
	}
	e := &review.Earlier{Adoption: map[string]string{}}
	if m, found := r.get(top, start, "job"); found {
		e.Project = r.text(r.object(m), m.at, "name")
	}
	if m, found := r.get(top, start, "rules"); found {
		rules := r.object(m)
		e.Rules, e.Ran = r.text(rules, m.at, "hash"), r.number(rules, m.at, "ran", 0, mostNumber)
	}
	if m, found := r.get(top, start, "adoption"); found {
		editions := r.object(m)
		for name := range editions {
			e.Adoption[name] = r.text(editions, m.at, name)
		}
	}
	if m, found := r.get(top, start, "round"); found {
		r.round(e, r.object(m), m.at)
	}
	return e
}

func (r *reader) round(e *review.Earlier, of map[string]member, at source.Span) {
	e.Round = r.number(of, at, "number", 1, mostRounds)
	e.Highest = r.number(of, at, "highest", 0, mostNumber)
	m, found := r.get(of, at, "comments")
	if !found {
		return
	}
	numbers, things, items := map[int]bool{}, map[string]bool{}, 0
	for _, m := range r.list(m, mostRecords) {
		rec := r.record(r.object(m), m.at, e, things, &items)
		if numbers[rec.Number] {
			r.fault(m.at, "", "two comments have the number %d", rec.Number)
		}
		numbers[rec.Number] = true
		e.Records = append(e.Records, rec)
	}
}

var (
	hash   = regexp.MustCompile(`^[0-9a-f]{24}$`)
	number = regexp.MustCompile(`^[0-9]{1,7}(\.[0-9]{1,7})?$`)
)

func (r *reader) record(of map[string]member, at source.Span, e *review.Earlier, things map[string]bool, items *int) *review.Record {
	rec := &review.Record{
		Number: r.number(of, at, "number", 1, mostNumber), Key: r.text(of, at, "key"), Heading: r.text(of, at, "heading"),
		Severity: codebook.Severity(r.text(of, at, "severity")), Since: r.number(of, at, "since", 1, max(1, e.Round)), State: review.State(r.text(of, at, "state")),
	}
	if rec.Number > e.Highest {
		r.fault(at, "", "comment %d is beyond the highest number, %d", rec.Number, e.Highest)
	}
	if m, found := r.get(of, at, "check"); found && kindOf(m.value) != "null" {
		rec.Check = r.text(of, at, "check")
		if rec.Check == "" {
			r.fault(m.at, "the name of a check, or null where keys are left out, is expected", "check: found %s", short(m.value))
		}
	}
	if m, found := of["severity"]; found && !slices.Contains(codebook.Severities, rec.Severity) {
		r.fault(m.at, "correction, verify or advisory is expected", "severity: found %s", short(m.value))
	}
	r.state(of, rec.State)
	m, found := r.get(of, at, "items")
	if !found {
		return rec
	}
	list := r.list(m, mostItems-*items)
	if *items += len(list); len(list) == 0 {
		r.fault(m.at, "", "comment %d is about nothing", rec.Number)
	}
	own := map[string]bool{}
	for _, m := range list {
		item := r.item(r.object(m), m.at, rec)
		key := fmt.Sprintf("%q %q %d %q", rec.Check, item.Subject, item.Nth, item.Need)
		switch {
		case things[key]:
			r.fault(m.at, "", "two comments are about the same thing")
		case own[item.Number]:
			r.fault(m.at, "", "two things have the number %s", item.Number)
		}
		things[key], own[item.Number] = true, true
		rec.Items = append(rec.Items, item)
	}
	return rec
}

func (r *reader) state(of map[string]member, state review.State) {
	if m, found := of["state"]; found && !slices.Contains(review.States, state) {
		r.fault(m.at, "one of new, outstanding, changed, answered, withdrawn is expected", "state: found %s", short(m.value))
	}
}

func (r *reader) item(of map[string]member, at source.Span, rec *review.Record) *review.Item {
	item := &review.Item{Number: r.text(of, at, "number"), State: review.State(r.text(of, at, "state")), Nth: 1}
	r.state(of, item.State)
	whole := strconv.Itoa(rec.Number)
	if m, found := of["number"]; found && (!number.MatchString(item.Number) || item.Number != whole && !strings.HasPrefix(item.Number, whole+".")) {
		r.fault(m.at, fmt.Sprintf("%s, or %s.1 and so on, is expected", whole, whole), "number: found %s", short(m.value))
	}
	if rec.Check == "" {
		if m, found := r.get(of, at, "keys"); found {
			for _, key := range r.list(m, 100) {
				var text string
				if json.Unmarshal(key.value, &text) != nil || text == "" || len(text) > mostText {
					r.fault(key.at, "a key is expected", "keys: found %s", short(key.value))
				}
				item.Keys = append(item.Keys, text)
			}
			if item.Need = (review.Need{Keys: item.Keys}).String(); item.Need == "" {
				r.fault(m.at, "at least one key is expected", "keys: found %s", short(m.value))
			}
		}
		return item
	}
	if item.Subject = r.text(of, at, "subject"); item.Subject == "" {
		r.fault(at, "", "the subject is blank")
	}
	if _, found := of["nth"]; found {
		item.Nth = r.number(of, at, "nth", 1, mostNumber)
	}
	item.Read = r.text(of, at, "read")
	if m, found := of["read"]; found && !hash.MatchString(item.Read) {
		r.fault(m.at, "a hash of 24 hexadecimal digits is expected", "read: found %s", short(m.value))
	}
	return item
}
