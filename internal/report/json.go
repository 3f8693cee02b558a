package report

import (
	"bufio"
	"bytes"
	"encoding/json"
	"io"
	"iter"
	"slices"
	"strconv"
	"strings"

	"plumbrule/internal/codebook"
	"plumbrule/internal/job"
	"plumbrule/internal/quantity"
	"plumbrule/internal/review"
	"plumbrule/internal/source"
	"plumbrule/internal/wording"
)

// The two documents that JSON writes. Their format goes up when a reader of the
// old one could be misled; additions do not change it.
const (
	reviewSchema  = "plumbrule review"
	reviewsSchema = "plumbrule reviews"
	jsonFormat    = 3
)

type jobDoc struct {
	File      string     `json:"file"`
	Name      string     `json:"name"`
	Address   *string    `json:"address"`
	Authority *string    `json:"authority"`
	Revision  *string    `json:"revision"`
	Papers    []paperDoc `json:"papers"`
}

// paperDoc is the file of a document that the job names.
type paperDoc struct {
	Document string `json:"document"`
	File     string `json:"file"`
	SHA256   string `json:"sha256"`
}

func papersOf(r *review.Review) []paperDoc {
	out := []paperDoc{}
	for i := range r.Job.Documents {
		if d := &r.Job.Documents[i]; d.Paper != nil {
			out = append(out, paperDoc{d.Name.Value, d.Paper.Name, d.Paper.Sum})
		}
	}
	return out
}

type rulesDoc struct {
	Hash   string   `json:"hash"`
	Checks int      `json:"checks"`
	Ran    int      `json:"ran"`
	Idle   []string `json:"idle"`
}

type gateDoc struct {
	Gate     string          `json:"gate"`
	Severity string          `json:"severity"`
	Counts   []review.Result `json:"counts"`
	Fails    bool            `json:"fails"`
}

// countsDoc counts outcomes by how they came out.
type countsDoc struct {
	Pairs         int `json:"pairs"`
	Met           int `json:"met"`
	NotMet        int `json:"not_met"`
	Undetermined  int `json:"undetermined"`
	NotApplicable int `json:"not_applicable"`
	Excused       int `json:"excused"`
}

type totalsDoc struct {
	countsDoc
	Claimed     int           `json:"claimed"`
	Listed      int           `json:"listed"`
	Outstanding severitiesDoc `json:"outstanding"`
	Comments    severitiesDoc `json:"comments"`
}

type severitiesDoc struct {
	Correction int `json:"correction"`
	Verify     int `json:"verify"`
	Advisory   int `json:"advisory"`
}

func bySeverity(n map[codebook.Severity]int) severitiesDoc {
	return severitiesDoc{n[codebook.Correction], n[codebook.Verify], n[codebook.Advisory]}
}

// checkDoc is a check that ran, with what came out.
type checkDoc struct {
	ID         string `json:"id"`
	Discipline string `json:"discipline"`
	Title      string `json:"title"`
	Severity   string `json:"severity"`
	Local      bool   `json:"local,omitempty"`
	countsDoc
	Comments []int `json:"comments"`
}

type commentDoc struct {
	Number   int          `json:"number"`
	Key      string       `json:"key"`
	Severity string       `json:"severity"`
	Result   string       `json:"result"`
	Check    *string      `json:"check"`
	Heading  string       `json:"heading"`
	Found    string       `json:"found"`
	ToPass   string       `json:"to_pass"`
	Sheet    string       `json:"sheet"`
	At       *placeDoc    `json:"at"`
	Subjects []subjectDoc `json:"subjects"`
	Missing  []askedDoc   `json:"missing"`
	Follows  []followDoc  `json:"follows"`
	State    string       `json:"state,omitempty"`
	Response string       `json:"response,omitempty"`
	Listed   bool         `json:"listed,omitempty"`
}

type subjectDoc struct {
	Number  string `json:"number"`
	State   string `json:"state,omitempty"`
	Subject string `json:"subject"`
	Outcome int    `json:"outcome"` // the entry of the list of outcomes that it is in
}

// askedDoc is a thing that a comment asks for; its keys are described in the
// list of what is missing.
type askedDoc struct {
	Number string   `json:"number"`
	State  string   `json:"state,omitempty"`
	Keys   []string `json:"keys"`
}

type followDoc struct {
	Check    string `json:"check"`
	Result   string `json:"result"`
	Count    int    `json:"count"`
	Further  int    `json:"further"`
	Outcomes []int  `json:"outcomes"` // entries of the list of outcomes, whole ones
}

// outcomeDoc is outcomes of a check that differ in nothing but their subjects and
// numbers. It leaves out what is empty. Subjects, reason, place, places, cite,
// stages, reasons and verify are entries of the lists that follow the outcomes.
type outcomeDoc struct {
	Check       string      `json:"check"`
	Subjects    []int       `json:"subjects"`
	Outcome     string      `json:"outcome"`
	Numbers     []string    `json:"numbers,omitempty"` // of each subject, or one for all
	Causes      []int       `json:"causes,omitempty"`
	Excused     *excuseDoc  `json:"excused,omitempty"`
	Claimed     *excuseDoc  `json:"claimed,omitempty"`
	Listed      bool        `json:"listed,omitempty"`
	Measure     *measureDoc `json:"measure,omitempty"`
	Limit       *limitDoc   `json:"limit,omitempty"`
	Utilisation *float64    `json:"utilisation,omitempty"`
	Finding     string      `json:"finding,omitempty"`
	Remedy      string      `json:"remedy,omitempty"`
	Reason      *int        `json:"reason,omitempty"`
	Place       *int        `json:"place,omitempty"`
	Places      *int        `json:"places,omitempty"`
	Cite        []int       `json:"cite,omitempty"`
	Stages      []int       `json:"stages,omitempty"`
	Held        string      `json:"held,omitempty"`
	Needs       []string    `json:"needs,omitempty"`
	Reasons     []int       `json:"reasons,omitempty"`
	Verify      []int       `json:"verify,omitempty"`
}

type thingDoc struct {
	Subject string `json:"subject"`
	Kind    string `json:"kind"`
	Name    string `json:"name"`
	Key     string `json:"key"`
}

type missingDoc struct {
	Waiting int      `json:"waiting"`
	Alone   int      `json:"alone"`
	Checks  []string `json:"checks"`
	Keys    []keyDoc `json:"keys"`
}

type keyDoc struct {
	Key     string    `json:"key"`
	Table   string    `json:"table"`
	Means   string    `json:"means"`
	Holds   string    `json:"holds"`
	Units   []string  `json:"units"`
	Words   []string  `json:"words"`
	Example string    `json:"example"`
	LeftOut string    `json:"left_out"`
	Found   string    `json:"found"`
	Open    bool      `json:"open"`
	At      *placeDoc `json:"at"`
}

type excuseDoc struct {
	Reason    string    `json:"reason"`
	By        string    `json:"by"`
	Date      string    `json:"date"`
	Until     *string   `json:"until"`
	Reference string    `json:"reference"`
	Claim     bool      `json:"claim"`
	At        *placeDoc `json:"at"`
}

func excuse(d *review.Deviation) *excuseDoc {
	if d == nil {
		return nil
	}
	return &excuseDoc{d.Reason.Value, d.By.Value, d.Date.Value, stated(d.Until), d.Reference.Value, d.Claim, place(d.Check.At)}
}

type measureDoc struct {
	Text  string   `json:"text"`
	Value *float64 `json:"value"` // null for a text, a yes or no, a conductor size
	Unit  string   `json:"unit"`
}

type limitDoc struct {
	Kind string `json:"kind"`
	measureDoc
}

type placeDoc struct {
	File   string `json:"file"`
	Line   int    `json:"line"`
	Column int    `json:"column"`
}

type citeDoc struct {
	Code    string `json:"code"`
	Edition string `json:"edition"`
	Section string `json:"section"`
	Note    string `json:"note"`
	Text    string `json:"text"`
}

type deviationDoc struct {
	Check   string `json:"check"`
	Subject string `json:"subject"`
	excuseDoc
	Counts  bool     `json:"counts"`
	Finding string   `json:"finding"`
	Answer  *string  `json:"answer"` // null without a file of the authority, and for what is no claim
	Differ  []string `json:"differ"`
}

func deviation(d *review.Deviation) deviationDoc {
	doc := deviationDoc{Check: d.Check.Value, Subject: d.Subject.Value, excuseDoc: *excuse(d), Counts: d.Counts, Finding: d.Finding, Differ: wording.Each(d.Differ, wording.Same)}
	if d.Answer != "" {
		text := string(d.Answer)
		doc.Answer = &text
	}
	return doc
}

// roundDoc is every comment so far, for the review of the next round to go on from.
type roundDoc struct {
	Number  int         `json:"number"`
	Highest int         `json:"highest"`
	After   *int        `json:"after"` // the round that it follows; null for the first
	Since   []string    `json:"since"`
	Records []recordDoc `json:"comments"`
}

type recordDoc struct {
	Number   int       `json:"number"`
	Key      string    `json:"key"`
	Check    *string   `json:"check"`
	Severity string    `json:"severity"`
	Heading  string    `json:"heading"`
	Since    int       `json:"since"`
	State    string    `json:"state"`
	Response string    `json:"response,omitempty"`
	Items    []itemDoc `json:"items"`
}

type itemDoc struct {
	Number  string   `json:"number"`
	Subject string   `json:"subject,omitempty"`
	Nth     int      `json:"nth,omitempty"` // of several subjects with one name; left out for the first
	Keys    []string `json:"keys,omitempty"`
	State   string   `json:"state"`
	Read    string   `json:"read,omitempty"`
	ComesOf []int    `json:"comes_of,omitempty"`
}

func round(r *review.Review) roundDoc {
	doc := roundDoc{Number: max(1, r.Round), Since: wording.Each(r.Since(), wording.Same), Records: []recordDoc{}}
	if r.Earlier != nil {
		doc.Highest, doc.After = r.Earlier.Highest, &r.Earlier.Round
	}
	for _, rec := range r.Ledger() {
		doc.Highest = max(doc.Highest, rec.Number)
		line := recordDoc{Number: rec.Number, Key: rec.Key, Severity: string(rec.Severity), Heading: wording.RecordHeading(rec), Since: rec.Since,
			State: string(rec.State), Response: wording.ResponseTo(r, rec), Items: []itemDoc{}}
		if rec.Check != "" {
			line.Check = &rec.Check
		}
		for _, item := range rec.Items {
			x := itemDoc{Number: item.Number, Subject: item.Subject, Keys: item.Keys, State: string(item.State), Read: item.Read, ComesOf: item.ComesOf}
			if item.Nth > 1 {
				x.Nth = item.Nth
			}
			line.Items = append(line.Items, x)
		}
		doc.Records = append(doc.Records, line)
	}
	return doc
}

// JSON writes a review, or several as one document, as schema/review.schema.json
// describes it. It goes out as it is made. A list stands before those that it
// refers to, each entry on a line.
func JSON(w io.Writer, reviews iter.Seq[*review.Review], o Options) error {
	s := &stream{w: bufio.NewWriter(w)}
	if !o.Many {
		for r := range reviews {
			s.review(r, o)
		}
	} else {
		s.raw("{")
		s.member("schema", reviewsSchema)
		s.member("format", jsonFormat)
		s.name("reviews")
		s.raw("[")
		var rows []summaryDoc
		for r := range reviews {
			if len(rows) > 0 {
				s.raw(",")
			}
			s.raw("\n")
			s.review(r, o)
			rows = append(rows, summaryDoc{wording.JobFile(r), wording.Verdict(r), bySeverity(wording.CommentsBySeverity(r)), r.Exceeds(o.Gate)})
		}
		s.raw("]")
		list(s, "summary", slices.Values(rows))
		s.raw("\n}")
	}
	s.raw("\n")
	if s.err != nil {
		return s.err
	}
	return s.w.Flush()
}

// summaryDoc is a job of many, in short.
type summaryDoc struct {
	File     string        `json:"file"`
	Verdict  string        `json:"verdict"`
	Comments severitiesDoc `json:"comments"`
	Fails    bool          `json:"fails"`
}

// stream writes a document piece by piece and keeps the first error.
type stream struct {
	w     *bufio.Writer
	err   error
	later bool // a member of the object was written
}

func (s *stream) raw(text string) {
	if s.err == nil {
		_, s.err = s.w.WriteString(text)
	}
	s.later = text != "{" && s.later
}

// name begins a member of an object.
func (s *stream) name(name string) {
	comma := ""
	if s.later {
		comma = ","
	}
	s.raw(comma + "\n  \"" + name + "\": ")
	s.later = true
}

// value writes a value on one line.
func (s *stream) value(v any) {
	var b bytes.Buffer
	e := json.NewEncoder(&b)
	e.SetEscapeHTML(false)
	if err := e.Encode(v); err != nil && s.err == nil {
		s.err = err
	}
	s.raw(string(bytes.TrimSuffix(b.Bytes(), []byte("\n"))))
}

func (s *stream) member(name string, v any) {
	s.name(name)
	s.value(v)
}

// list writes a member that is a list, each entry on a line.
func list[T any](s *stream, name string, entries iter.Seq[T]) {
	s.name(name)
	s.raw("[")
	first := true
	for x := range entries {
		if !first {
			s.raw(",")
		}
		first = false
		s.raw("\n    ")
		s.value(x)
	}
	if !first {
		s.raw("\n  ")
	}
	s.raw("]")
}

// once numbers things from 0 in the order in which they are first told of.
type once[T comparable] struct {
	at   map[T]int
	list []T
}

func (n *once[T]) of(x T) int {
	i, known := n.at[x]
	if !known {
		if n.at == nil {
			n.at = map[T]int{}
		}
		i = len(n.list)
		n.at[x] = i
		n.list = append(n.list, x)
	}
	return i
}

func (n *once[T]) all(list []T) []int {
	out := make([]int, len(list))
	for i, x := range list {
		out[i] = n.of(x)
	}
	return out
}

// tables are what outcomes refer to by number, so that it stands once. Subjects
// and stages are kept as they are and put into words when their list is written.
type tables struct {
	subjects  once[string]
	numbers   map[any]int // of subjects that were told of, by what they are
	things    []thingDoc
	places    once[source.Span]
	lists     once[string]         // of places, as they are written
	shared    map[*source.Span]int // lists that many outcomes share, by their beginning
	citations once[review.Citation]
	stages    once[review.Stage]
	texts     once[string]
}

func (s *stream) review(r *review.Review, o Options) {
	s.raw("{")
	s.member("schema", reviewSchema)
	s.member("format", jsonFormat)
	s.member("all", o.All)
	s.member("job", jobDoc{wording.JobFile(r), r.Job.Project.Name.Value, stated(r.Job.Project.Address), stated(r.Job.Project.Authority), stated(r.Job.Project.Revision), papersOf(r)})
	s.member("adoption", adoption(r))
	if doc := authority(r.Book); doc != nil {
		s.member("authority", doc)
	}
	ran, checks := r.Ran()
	s.member("program", o.Version)
	s.member("rules", rulesDoc{r.Book.Hash, checks, ran, wording.Each(r.Idle, wording.Same)})
	s.member("verdict", wording.Verdict(r))
	s.member("gate", gateDoc{o.Gate.String(), string(o.Gate.Severity), o.Gate.Results(), r.Exceeds(o.Gate)})
	n := r.Totals
	s.member("totals", totalsDoc{countsDoc{n.Pairs, n.Met, n.NotMet, n.Undetermined, n.NotApplicable, n.Excused}, n.Claimed, n.Listed,
		bySeverity(n.Outstanding), bySeverity(wording.CommentsBySeverity(r))})
	s.member("round", round(r))
	states := wording.RoundsOf(r)
	of := causes(r)
	t := &tables{}
	entries, at := t.entries(r, o, of)
	list(s, "comments", func(yield func(commentDoc) bool) {
		for _, c := range r.Comments() {
			if !yield(comment(r, c, at, states)) {
				return
			}
		}
	})
	list(s, "missing", mapped(r.Missing(), missing))
	list(s, "checks", slices.Values(checksOf(r)))
	list(s, "outcomes", mapped(entries, func(e []*review.Outcome) outcomeDoc { return t.outcome(r, e, of[e[0]]) }))
	list(s, "subjects", slices.Values(t.things))
	list(s, "place_lists", mapped(t.lists.list, func(text string) json.RawMessage { return json.RawMessage(text) }))
	list(s, "places", mapped(t.places.list, func(at source.Span) placeDoc { return *place(at) }))
	list(s, "citations", mapped(t.citations.list, func(c review.Citation) citeDoc {
		return citeDoc{c.Code, c.Edition, c.Section, c.Note, wording.Cited(c)}
	}))
	list(s, "stages", mapped(t.stages.list, func(x review.Stage) []string { return wording.Each(x.Lines(), wording.Same) }))
	list(s, "texts", slices.Values(t.texts.list))
	list(s, "deviations", mapped(r.Deviations, deviation))
	s.member("standing", standing(r))
	s.member("defects", wording.Each(r.Defects(), wording.FirstLine))
	s.member("notice", wording.Notice)
	s.member("cautions", wording.Cautions)
	s.raw("\n}")
}

// mapped gives what f makes of a list, one after the other.
func mapped[T, U any](from []T, f func(T) U) iter.Seq[U] {
	return func(yield func(U) bool) {
		for _, x := range from {
			if !yield(f(x)) {
				return
			}
		}
	}
}

func adoption(r *review.Review) map[string]string {
	out := map[string]string{}
	for _, e := range r.Job.Adoption.Editions() {
		out[e.Code.Key] = e.Edition
	}
	return out
}

// checksOf counts the outcomes of each check that ran and had any, in the order
// of their IDs.
func checksOf(r *review.Review) []*checkDoc {
	var out []*checkDoc
	by := map[*codebook.Check]*checkDoc{}
	for _, n := range r.Tallies() {
		c := n.Check
		by[c] = &checkDoc{ID: c.ID, Discipline: c.Discipline, Title: c.Title, Severity: string(c.Severity), Local: c.Local, Comments: []int{},
			countsDoc: countsDoc{n.Pairs, n.Met, n.NotMet, n.Undetermined, n.NotApplicable, n.Excused}}
		out = append(out, by[c])
	}
	for _, c := range r.Comments() {
		if c.Check != nil {
			by[c.Check].Comments = append(by[c.Check].Comments, c.Number)
		}
	}
	return out
}

func comment(r *review.Review, c *review.Comment, at map[*review.Outcome]int, states *wording.Rounds) commentDoc {
	doc := commentDoc{
		Number: c.Number, Key: c.Key(), Severity: string(c.Severity), Result: string(c.Result),
		Heading: wording.Heading(c), Found: wording.Found(c), ToPass: wording.ToPass(c), Sheet: wording.SheetOf(r.Job, c), At: place(wording.PlaceOf(c)),
		Subjects: []subjectDoc{}, Missing: []askedDoc{}, Follows: []followDoc{},
		State: states.Comment(c.Number), Response: states.Response(r, c.Number), Listed: c.Listed(),
	}
	if c.Check != nil {
		doc.Check = &c.Check.ID
	}
	for _, o := range c.Subjects {
		doc.Subjects = append(doc.Subjects, subjectDoc{r.Number(o), states.Item(r.Number(o)), o.Subject.Label(), at[o]})
	}
	asked := wording.Asked(c)
	for i, m := range asked {
		doc.Missing = append(doc.Missing, askedDoc{c.NumberOf(i, len(asked)), states.Item(c.NumberOf(i, len(asked))), m.Need.Keys})
	}
	for _, f := range c.Follows {
		line := followDoc{Check: f.Check.ID, Result: string(f.Result), Count: len(f.Subjects), Further: f.Further}
		listed := map[int]bool{}
		for _, o := range f.Subjects {
			if e := at[o]; !listed[e] {
				listed[e] = true
				line.Outcomes = append(line.Outcomes, e)
			}
		}
		doc.Follows = append(doc.Follows, line)
	}
	return doc
}

// alike is what outcomes of a check have in common that make one entry. Lists are
// the numbers of their members.
type alike struct {
	result                                                review.Result
	number, causes, finding, remedy, reason               string
	excused, claimed                                      *review.Deviation
	listed                                                bool
	hasMeasure, hasLimit, hasUtilisation                  bool
	measure, limit                                        review.Amount
	utilisation                                           float64
	at                                                    source.Span
	also                                                  int // 0 for none
	cites, stages, needs, reasons, unconfirmed, limitKind string
}

func (t *tables) alike(r *review.Review, o *review.Outcome, of []int) alike {
	a := alike{result: o.Result, finding: o.Finding, remedy: o.Remedy, reason: wording.FirstLine(o.Why()), at: o.At, limitKind: string(o.LimitKind)}
	a.number, _, _ = strings.Cut(r.Number(o), ".")
	a.causes, a.cites, a.stages = listed(of), listed(t.citations.all(o.Cites)), listed(t.stages.all(o.Stages()))
	a.needs = strings.Join(wording.KeysOf(o), "\n")
	a.reasons, a.unconfirmed = listed(t.texts.all(wording.Each(o.Reasons, wording.FirstLine))), listed(t.texts.all(o.Unconfirmed))
	a.excused, a.claimed, a.listed = o.Excused, o.Claimed, o.Listed
	if o.Measure != nil {
		a.hasMeasure, a.measure = true, *o.Measure
	}
	if o.Limit != nil {
		a.hasLimit, a.limit = true, *o.Limit
	}
	if o.Utilisation != nil {
		a.hasUtilisation, a.utilisation = true, *o.Utilisation
	}
	a.also = t.also(o) + 1
	return a
}

// also is the list of the further places of an outcome; -1 for none.
func (t *tables) also(o *review.Outcome) int {
	also := o.Also()
	if len(also) == 0 {
		return -1
	}
	i, known := t.shared[&also[0]]
	if !known {
		i = t.lists.of("[" + strings.TrimPrefix(listed(t.places.all(also)), ",") + "]")
		if t.shared == nil {
			t.shared = map[*source.Span]int{}
		}
		t.shared[&also[0]] = i
	}
	return i
}

// listed writes numbers so that equal lists are equal.
func listed(list []int) string {
	var b []byte
	for _, n := range list {
		b = strconv.AppendInt(append(b, ','), int64(n), 10)
	}
	return string(b)
}

// entries puts the outcomes that are listed together, by check, and tells in which
// entry each stands that is outstanding. Entries come in the order of their first
// outcomes.
func (t *tables) entries(r *review.Review, o Options, of map[*review.Outcome][]int) (out [][]*review.Outcome, at map[*review.Outcome]int) {
	at = map[*review.Outcome]int{}
	entry := map[alike]int{}
	var check *codebook.Check
	for i := range r.Outcomes {
		x := &r.Outcomes[i]
		if !o.shows(x) {
			continue
		}
		if x.Check != check {
			check = x.Check
			clear(entry)
		}
		key := t.alike(r, x, of[x])
		e, known := entry[key]
		if !known {
			e = len(out)
			entry[key] = e
			out = append(out, nil)
		}
		out[e] = append(out[e], x)
		if x.Outstanding() {
			at[x] = e
		}
	}
	return out, at
}

// outcome is an entry of outcomes, all of which come of the same comments.
func (t *tables) outcome(r *review.Review, list []*review.Outcome, of []int) outcomeDoc {
	o := list[0]
	doc := outcomeDoc{
		Check: o.Check.ID, Subjects: wording.Each(list, t.subject), Outcome: string(o.Result), Causes: of,
		Utilisation: o.Utilisation, Finding: o.Finding, Remedy: o.Remedy,
		Cite:    t.citations.all(o.Cites),
		Stages:  t.stages.all(o.Stages()),
		Held:    o.Held(),
		Needs:   wording.KeysOf(o),
		Reasons: t.texts.all(wording.Each(o.Reasons, wording.FirstLine)),
		Verify:  t.texts.all(o.Unconfirmed),
	}
	switch {
	case len(of) > 0 && r.Number(o) == strconv.Itoa(of[0]):
		doc.Numbers = []string{r.Number(o)}
	case r.Number(o) != "":
		doc.Numbers = wording.Each(list, r.Number)
	}
	if why := wording.FirstLine(o.Why()); why != "" {
		i := t.texts.of(why)
		doc.Reason = &i
	}
	if o.At.Known() {
		i := t.places.of(o.At)
		doc.Place = &i
	}
	if i := t.also(o); i >= 0 {
		doc.Places = &i
	}
	doc.Excused, doc.Claimed, doc.Listed = excuse(o.Excused), excuse(o.Claimed), o.Listed
	if o.Measure != nil {
		m := measure(o.Measure)
		doc.Measure = &m
	}
	if o.Limit != nil {
		doc.Limit = &limitDoc{string(o.LimitKind), measure(o.Limit)}
	}
	return doc
}

// subject tells things apart by their exact names, as two kinds of things may
// stand for one part of the job.
func (t *tables) subject(o *review.Outcome) int {
	if i, known := t.numbers[o.Subject]; known {
		return i
	}
	i := t.subjects.of(exactly(o))
	if i == len(t.things) {
		t.things = append(t.things, thingDoc{o.Subject.Label(), o.Subject.Kind.Name, o.Subject.Name, o.Subject.Key})
	}
	if t.numbers == nil {
		t.numbers = map[any]int{}
	}
	t.numbers[o.Subject] = i
	return i
}

func missing(m *review.Missing) missingDoc {
	return missingDoc{m.Waiting, m.Alone, m.Checks, wording.Each(m.Slots, func(s *job.Slot) keyDoc {
		doc := keyDoc{
			Key: s.Key, Table: wording.TableOf(s), Means: s.Field.Doc, Holds: wording.Holds(s), Words: wording.Each(s.Field.Choice, wording.Same),
			Units: []string{}, LeftOut: s.Field.LeftOut(), Found: s.Find(), Open: s.Open, At: place(s.At),
		}
		if k := s.Field.Kind; k == job.KindQuantity || k == job.KindQuantities {
			doc.Units = wording.Each(quantity.Units(s.Field.Dim), wording.Same)
		}
		if s.Field.Table == nil {
			doc.Example = s.Example()
		}
		return doc
	})}
}

func measure(a *review.Amount) measureDoc {
	m := measureDoc{Text: a.Text, Unit: a.Unit}
	if a.IsNum {
		m.Value = &a.Value
	}
	return m
}

// place is null where the job has no such place.
func place(at source.Span) *placeDoc {
	if !at.Known() {
		return nil
	}
	p := at.Position()
	return &placeDoc{p.File, p.Line, p.Column}
}

func stated(g job.Text) *string {
	if !g.Known {
		return nil
	}
	return &g.Value
}

// standingDoc is what is said of the list of what was there before; null without one.
type standingDoc struct {
	Entries int            `json:"entries"`
	Gone    []standingGone `json:"gone"`
}

type standingGone struct {
	Check   string `json:"check"`
	Subject string `json:"subject"`
	Read    string `json:"read"`
}

func standing(r *review.Review) *standingDoc {
	if r.Standing == nil {
		return nil
	}
	return &standingDoc{len(r.Standing.Entries), wording.Each(r.Standing.Gone, func(e review.StandingEntry) standingGone { return standingGone(e) })}
}
