package report

import (
	"encoding/json"
	"io"

	"plumbrule/internal/codebook"
	"plumbrule/internal/job"
	"plumbrule/internal/quantity"
	"plumbrule/internal/review"
	"plumbrule/internal/source"
	"plumbrule/internal/wording"
)

// The names of the two documents that JSON writes. Their number goes up when a
// reader of the old one could be misled; additions do not change it.
const (
	reviewSchema  = "plumbrule review 1"
	reviewsSchema = "plumbrule reviews 1"
)

type reviewsDoc struct {
	Schema  string      `json:"schema"`
	Reviews []reviewDoc `json:"reviews"`
}

type reviewDoc struct {
	Schema   string            `json:"schema"`
	Job      jobDoc            `json:"job"`
	Adoption map[string]string `json:"adoption"` // stated editions by key of [adoption]
	Rules    rulesDoc          `json:"rules"`
	Totals   totalsDoc         `json:"totals"`
	Outcomes []outcomeDoc      `json:"outcomes"`
	Missing  []missingDoc      `json:"missing"`
	Unused   []deviationDoc    `json:"unused_deviations"`
	Defects  []string          `json:"defects"`
	Notice   string            `json:"notice"`
	Cautions []string          `json:"cautions"`
}

type jobDoc struct {
	File      string  `json:"file"`
	Name      string  `json:"name"`
	Address   *string `json:"address"`
	Authority *string `json:"authority"`
	Revision  *string `json:"revision"`
}

type rulesDoc struct {
	Hash   string   `json:"hash"`
	Checks int      `json:"checks"`
	Idle   []string `json:"idle"`
}

type totalsDoc struct {
	Pairs         int            `json:"pairs"`
	Met           int            `json:"met"`
	NotMet        int            `json:"not_met"`
	Undetermined  int            `json:"undetermined"`
	NotApplicable int            `json:"not_applicable"`
	Excused       int            `json:"excused"`
	Outstanding   outstandingDoc `json:"outstanding"`
}

type outstandingDoc struct {
	Correction int `json:"correction"`
	Verify     int `json:"verify"`
	Advisory   int `json:"advisory"`
}

type outcomeDoc struct {
	Check       string      `json:"check"`
	Discipline  string      `json:"discipline"`
	Title       string      `json:"title"`
	Subject     string      `json:"subject"`
	Key         string      `json:"key"`
	Outcome     string      `json:"outcome"`
	Severity    string      `json:"severity"`
	Excused     *excuseDoc  `json:"excused"`
	Measure     *measureDoc `json:"measure"`
	Limit       *limitDoc   `json:"limit"`
	Utilisation *float64    `json:"utilisation"`
	Finding     string      `json:"finding"`
	Remedy      string      `json:"remedy"`
	Reason      string      `json:"reason"`
	At          *placeDoc   `json:"at"`
	Also        []placeDoc  `json:"also"`
	Cite        []citeDoc   `json:"cite"`
	Work        []string    `json:"work"`
	Needs       []string    `json:"needs"`
	Reasons     []string    `json:"reasons"`
	Verify      []string    `json:"verify"`
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
	Reason string    `json:"reason"`
	By     string    `json:"by"`
	Date   string    `json:"date"`
	At     *placeDoc `json:"at"`
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
	Check   string    `json:"check"`
	Subject string    `json:"subject"`
	At      *placeDoc `json:"at"`
}

// JSON writes the review as the document that schema/review.schema.json
// describes.
func JSON(w io.Writer, r *review.Review) error { return write(w, document(r)) }

// JSONAll writes several reviews as one document.
func JSONAll(w io.Writer, list []*review.Review) error {
	return write(w, reviewsDoc{reviewsSchema, wording.Each(list, func(r *review.Review) reviewDoc { return document(r) })})
}

func write(w io.Writer, doc any) error {
	e := json.NewEncoder(w)
	e.SetEscapeHTML(false)
	e.SetIndent("", "  ")
	return e.Encode(doc)
}

func document(r *review.Review) reviewDoc {
	doc := reviewDoc{
		Schema:   reviewSchema,
		Job:      jobDoc{wording.JobFile(r), r.Job.Project.Name.Value, stated(r.Job.Project.Address), stated(r.Job.Project.Authority), stated(r.Job.Project.Revision)},
		Adoption: map[string]string{},
		Rules:    rulesDoc{r.Book.Hash, len(r.Book.Checks), wording.Each(r.Idle, wording.Same)},
		Totals: totalsDoc{
			r.Totals.Pairs, r.Totals.Met, r.Totals.NotMet, r.Totals.Undetermined, r.Totals.NotApplicable, r.Totals.Excused,
			outstandingDoc{r.Totals.Outstanding[codebook.Correction], r.Totals.Outstanding[codebook.Verify], r.Totals.Outstanding[codebook.Advisory]},
		},
		Outcomes: make([]outcomeDoc, len(r.Outcomes)),
		Missing:  wording.Each(r.Missing(), missing),
		Unused: wording.Each(r.Unused, func(d job.Deviation) deviationDoc {
			return deviationDoc{d.Check.Value, d.Subject.Value, place(d.Check.At)}
		}),
		Defects:  wording.Each(r.Defects(), wording.FirstLine),
		Notice:   wording.Notice,
		Cautions: wording.Cautions,
	}
	for _, e := range r.Job.Adoption.Editions() {
		doc.Adoption[e.Code.Key] = e.Edition
	}
	for i := range r.Outcomes {
		doc.Outcomes[i] = outcome(&r.Outcomes[i])
	}
	return doc
}

func outcome(o *review.Outcome) outcomeDoc {
	doc := outcomeDoc{
		Check: o.Check.ID, Discipline: o.Check.Discipline, Title: o.Check.Title,
		Subject: o.Subject.Label(), Key: o.Subject.Key, Outcome: string(o.Result), Severity: string(o.Check.Severity),
		Utilisation: o.Utilisation,
		Finding:     o.Finding, Remedy: o.Remedy, Reason: wording.FirstLine(o.Why()),
		At:   place(o.At),
		Also: wording.Each(o.Also(), func(at source.Span) placeDoc { return *place(at) }),
		Cite: wording.Each(o.Cites, func(c review.Citation) citeDoc {
			return citeDoc{c.Code, c.Edition, c.Section, c.Note, wording.Cited(c)}
		}),
		Work:    wording.Each(o.Work(), wording.Same),
		Needs:   wording.KeysOf(o),
		Reasons: wording.Each(o.Reasons, wording.FirstLine),
		Verify:  wording.Each(o.Unconfirmed, wording.Same),
	}
	if e := o.Excused; e != nil {
		doc.Excused = &excuseDoc{e.Reason, e.By, e.Date, place(e.At)}
	}
	if o.Measure != nil {
		m := measure(o.Measure)
		doc.Measure = &m
	}
	if o.Limit != nil {
		doc.Limit = &limitDoc{string(o.LimitKind), measure(o.Limit)}
	}
	return doc
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
