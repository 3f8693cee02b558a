package report

import (
	"bufio"
	"crypto/sha256"
	"encoding/hex"
	"fmt"
	"io"
	"iter"
	"net/url"
	"path/filepath"
	"slices"
	"strings"

	"plumbrule/internal/codebook"
	"plumbrule/internal/job"
	"plumbrule/internal/review"
	"plumbrule/internal/source"
	"plumbrule/internal/wording"
)

const (
	sarifVersion = "2.1.0"
	sarifSchema  = "https://docs.oasis-open.org/sarif/sarif/v2.1.0/errata01/os/schemas/sarif-schema-2.1.0.json"
	sarifBase    = "JOBS"
)

type sarifTool struct {
	Driver sarifDriver `json:"driver"`
}

type sarifDriver struct {
	Name      string       `json:"name"`
	Version   string       `json:"version"`
	ShortText sarifMessage `json:"shortDescription"`
	FullText  sarifMessage `json:"fullDescription"`
	Rules     []sarifRule  `json:"rules"`
}

type sarifRule struct {
	ID         string         `json:"id"`
	Short      sarifMessage   `json:"shortDescription"`
	Full       sarifMessage   `json:"fullDescription"`
	Help       sarifMessage   `json:"help"`
	Default    sarifDefault   `json:"defaultConfiguration"`
	Properties map[string]any `json:"properties"`
}

type sarifDefault struct {
	Level string `json:"level"`
}

type sarifMessage struct {
	Text     string `json:"text"`
	Markdown string `json:"markdown,omitempty"`
}

type sarifInvocation struct {
	Successful    bool                `json:"executionSuccessful"`
	Notifications []sarifNotification `json:"toolExecutionNotifications"`
}

type sarifNotification struct {
	Level     string          `json:"level"`
	Message   sarifMessage    `json:"message"`
	Locations []sarifLocation `json:"locations,omitempty"`
	Rule      *sarifRuleRef   `json:"associatedRule,omitempty"`
}

type sarifRuleRef struct {
	ID    string `json:"id"`
	Index int    `json:"index"`
}

type sarifArtifact struct {
	Description sarifMessage `json:"description"`
}

type sarifFile struct {
	Location sarifURI          `json:"location"`
	Roles    []string          `json:"roles"`
	Hashes   map[string]string `json:"hashes"`
}

type sarifURI struct {
	URI    string `json:"uri"`
	BaseID string `json:"uriBaseId,omitempty"`
	Index  *int   `json:"index,omitempty"`
}

type sarifAutomation struct {
	ID string `json:"id"`
}

type sarifResult struct {
	RuleID       string             `json:"ruleId"`
	RuleIndex    int                `json:"ruleIndex"`
	Kind         string             `json:"kind"`
	Level        string             `json:"level"`
	Message      sarifMessage       `json:"message"`
	Locations    []sarifLocation    `json:"locations,omitempty"`
	Related      []sarifLocation    `json:"relatedLocations,omitempty"`
	Fingerprints map[string]string  `json:"partialFingerprints"`
	Suppressions []sarifSuppression `json:"suppressions,omitempty"`
	Baseline     string             `json:"baselineState,omitempty"`
	Properties   map[string]any     `json:"properties"`
}

type sarifLocation struct {
	ID       int            `json:"id,omitempty"`
	Physical sarifPhysical  `json:"physicalLocation"`
	Logical  []sarifLogical `json:"logicalLocations,omitempty"`
	Message  *sarifMessage  `json:"message,omitempty"`
}

type sarifPhysical struct {
	File   sarifURI     `json:"artifactLocation"`
	Region *sarifRegion `json:"region,omitempty"`
}

type sarifRegion struct {
	StartLine   int           `json:"startLine"`
	StartColumn int           `json:"startColumn"`
	EndLine     int           `json:"endLine"`
	EndColumn   int           `json:"endColumn"`
	Snippet     *sarifContent `json:"snippet,omitempty"`
}

type sarifContent struct {
	Text string `json:"text"`
}

type sarifLogical struct {
	Name     string `json:"name"`
	FullName string `json:"fullyQualifiedName"`
	Kind     string `json:"kind"`
}

type sarifSuppression struct {
	Kind          string         `json:"kind"`
	Status        string         `json:"status"`
	Justification string         `json:"justification"`
	Location      *sarifLocation `json:"location,omitempty"`
}

// mostResults is how many results a run has unless all are asked for: what
// build servers take of one run.
const mostResults = 5000

// mostRelated is how many places of its subjects a result has.
const mostRelated = 1000

// mostOfAll is how many places of values that contribute a result has where every
// outcome is one, and none where the outcome comes of another. The JSON of the
// review has all, each once.
const mostOfAll = 16

// The rules that are no checks: of a kind of key left out its key stands behind
// the first.
const (
	keyRule  = "left-out/"
	moreRule = "more-results"
	// Deviations that excuse nothing, and claims of deviations.
	unfoundedRule = "deviation-excuses-nothing"
	claimRule     = "deviation-claimed"
)

// SARIF writes the reviews as one log with a run for each: a result for each
// comment, with its subjects as related places, or, where all are asked for, one
// for each outcome and each kind of key left out. What an accepted deviation
// excuses is suppressed.
//
// It goes out as it is made, each result on a line, so that a log of every outcome
// takes no more memory than one of the comments.
func SARIF(w io.Writer, reviews iter.Seq[*review.Review], o Options) error {
	s := &stream{w: bufio.NewWriter(w)}
	s.raw("{")
	s.member("version", sarifVersion)
	s.member("$schema", sarifSchema)
	s.name("runs")
	s.raw("[")
	first := true
	for r := range reviews {
		if !first {
			s.raw(",")
		}
		first = false
		s.raw("\n")
		s.sarifRun(r, o, mostResults)
	}
	s.raw("]\n}\n")
	if s.err != nil {
		return s.err
	}
	return s.w.Flush()
}

var sarifLevels = map[codebook.Severity]string{codebook.Correction: "error", codebook.Verify: "warning", codebook.Advisory: "note"}

// sarifKind is the kind and the level of a result. What is undetermined fails
// like what is not met, since any other kind may have no level (3.27.10) and a
// build server would not show what fails the gate; the property "outcome" tells
// them apart.
func sarifKind(result review.Result, s codebook.Severity) (kind, level string) {
	switch result {
	case review.Met:
		return "pass", "none"
	case review.NotApplicable:
		return "notApplicable", "none"
	}
	return "fail", sarifLevels[s]
}

// sarifRun writes the run of a review, with so many results at most unless all are
// asked for.
func (out *stream) sarifRun(r *review.Review, o Options, most int) {
	ran, all := r.Ran()
	s := &sarifWriter{r: r, states: wording.RoundsOf(r), files: map[*source.File]int{}, rules: map[string]int{}, located: map[source.Span]sarifLocation{}}
	for _, c := range r.Book.Checks {
		s.rule(newSarifRule(c))
	}
	files := []sarifFile{}
	for i, f := range r.Job.Files {
		s.files[f] = i
		sum := sha256.Sum256(f.Text)
		files = append(files, sarifFile{Location: s.uri(f.Name), Roles: []string{"analysisTarget"}, Hashes: map[string]string{"sha-256": hex.EncodeToString(sum[:])}})
	}
	// What brings rules of its own, or may be too much, is made first.
	results := s.results(o)
	invocation := sarifInvocation{Successful: true, Notifications: s.notifications()}
	for _, n := range invocation.Notifications {
		invocation.Successful = invocation.Successful && n.Level != "error"
	}
	if n := len(results) - most; n > 0 && !o.All {
		text := fmt.Sprintf("%s left out: a log of %d is the most that is written. All of them: check --all, or the JSON of the review.",
			wording.Plural(n, "result is", "results are"), most)
		results = append(results[:most], s.more(n, text))
		invocation.Notifications = append(invocation.Notifications, sarifNotification{Level: "warning", Message: sarifText(text)})
	}
	out.raw("{")
	out.member("tool", sarifTool{sarifDriver{Name: "plumbrule", Version: sarifRelease(o.Version),
		ShortText: sarifMessage{Text: "Plan review and code compliance for photovoltaic submittals."},
		FullText:  sarifMessage{Text: wording.Notice + " " + strings.Join(wording.Cautions, " ")}, Rules: s.known}})
	out.member("invocations", []sarifInvocation{invocation})
	out.member("columnKind", "utf16CodeUnits")
	out.member("originalUriBaseIds", map[string]sarifArtifact{sarifBase: {sarifMessage{Text: "The folder that the command ran in."}}})
	out.member("artifacts", files)
	list(out, "results", func(yield func(sarifResult) bool) {
		for _, x := range results {
			if !yield(x) {
				return
			}
		}
		if o.All {
			s.every(yield)
		}
	})
	out.member("automationDetails", sarifAutomation{"plumbrule/" + filepath.ToSlash(wording.JobFile(r)) + "/"})
	out.member("properties", map[string]any{"ruleSet": r.Book.Hash, "checks": all, "checksThatRan": ran, "verdict": wording.Verdict(r),
		"gate": o.Gate.String(), "comments": bySeverity(wording.CommentsBySeverity(r))})
	out.raw("\n}")
	out.later = true
}

// notifications tell of the run itself: which checks ran or failed to, and what
// differs from the review that it goes on from.
func (s *sarifWriter) notifications() []sarifNotification {
	out := []sarifNotification{}
	if text := partly(s.r); text != "" {
		out = append(out, sarifNotification{Level: "note", Message: sarifText(text)})
	}
	for _, text := range append(s.r.Since(), wording.OnList(s.r)...) {
		out = append(out, sarifNotification{Level: "note", Message: sarifText(text)})
	}
	for i := range s.r.Outcomes {
		if o := &s.r.Outcomes[i]; o.Defect != "" {
			out = append(out, sarifNotification{Level: "error",
				Message: sarifText(fmt.Sprintf("The check failed for %s: %s", o.Subject.Label(), wording.FirstLine(o.Defect))),
				Rule:    &sarifRuleRef{o.Check.ID, s.rules[o.Check.ID]}})
		}
	}
	return out
}

// sarifRelease makes a version begin with a digit, so that log readers can hold
// one against another.
func sarifRelease(version string) string {
	version = strings.TrimPrefix(version, "v")
	if version == "" || version[0] < '0' || version[0] > '9' {
		return strings.TrimSpace("0.0.0 " + version)
	}
	return version
}

func newSarifRule(c *codebook.Check) sarifRule {
	var help []string
	for _, cite := range c.Cites {
		line := cite.Code
		if len(cite.Editions) > 0 {
			line += " " + strings.Join(cite.Editions, ", ")
		}
		help = append(help, strings.TrimSpace(line+" "+cite.Section))
	}
	text := sarifText(c.Because)
	text.Text += sarifEscaped(" Source: " + strings.Join(help, "; ") + ".")
	text.Markdown = sarifEscaped(wording.Markdown(wording.Sentence(c.Because)) + "\n\n- " + strings.Join(wording.Each(help, wording.Markdown), "\n- "))
	rule := sarifRule{ID: c.ID, Short: sarifText(c.Title), Full: sarifText(c.Because), Help: text,
		Default: sarifDefault{sarifLevels[c.Severity]},
		Properties: map[string]any{"discipline": c.Discipline, "severity": string(c.Severity), "each": c.Each.Name,
			"tags": []string{c.Discipline, string(c.Severity)}}}
	if c.Provenance != "" {
		rule.Properties["provenance"] = c.Provenance
	}
	return rule
}

type sarifWriter struct {
	r      *review.Review
	states *wording.Rounds
	files  map[*source.File]int
	rules  map[string]int
	known  []sarifRule

	located map[source.Span]sarifLocation
}

// rule gives the place of a rule in the list, which it joins when it is new.
func (s *sarifWriter) rule(rule sarifRule) int {
	i, known := s.rules[rule.ID]
	if !known {
		i = len(s.known)
		s.rules[rule.ID] = i
		s.known = append(s.known, rule)
	}
	return i
}

// results are the comments in their order and what is excused; with all, only the
// comments that ask for keys, before every outcome.
func (s *sarifWriter) results(o Options) []sarifResult {
	out := []sarifResult{}
	for _, c := range s.r.Comments() {
		switch {
		case c.Check == nil:
			out = append(out, s.keys(c))
		case !o.All:
			out = append(out, s.comment(c))
		}
	}
	rest := append(s.gone(), s.deviations()...)
	if o.All {
		return append(out, rest...)
	}
	type excuse struct {
		check  *codebook.Check
		result review.Result
		at     source.Span
	}
	excused := map[excuse]int{} // where the result stands of what a deviation excuses
	for i := range s.r.Outcomes {
		x := &s.r.Outcomes[i]
		if x.Excused == nil {
			continue
		}
		key := excuse{x.Check, x.Result, x.Excused.Check.At}
		if at, known := excused[key]; known {
			s.join(&out[at], x, "")
			continue
		}
		excused[key] = len(out)
		out = append(out, s.result(x))
	}
	return append(out, rest...)
}

// every gives the result of every outcome, one after the other.
func (s *sarifWriter) every(yield func(sarifResult) bool) {
	of := causes(s.r)
	for i := range s.r.Outcomes {
		x := &s.r.Outcomes[i]
		result := s.result(x)
		if n := len(result.Related) - mostOfAll; n > 0 {
			result.Related = result.Related[:mostOfAll]
			result.Properties["furtherPlaces"] = n
		}
		if len(of[x]) > 0 { // what it comes of has the places
			result.Related, result.Properties["causes"] = nil, of[x]
			delete(result.Properties, "furtherPlaces")
		}
		if !yield(result) {
			return
		}
	}
}

// more is the last result where some are left out.
func (s *sarifWriter) more(n int, text string) sarifResult {
	rule := sarifRule{ID: moreRule, Short: sarifText("Results that are left out"), Full: sarifText("says how many results a log leaves out"),
		Help: sarifText("Every outcome: check --all, or the JSON of the review."), Default: sarifDefault{"note"}, Properties: map[string]any{"tags": []string{moreRule}}}
	out := sarifResult{RuleID: moreRule, RuleIndex: s.rule(rule), Kind: "fail", Level: "note", Message: sarifText(text),
		Fingerprints: map[string]string{fingerprintName: digest(moreRule)}, Properties: map[string]any{"leftOut": n}}
	if files := s.r.Job.Files; len(files) > 0 {
		out.Locations = []sarifLocation{s.location(files[0].Start())}
	}
	return out
}

// keys is the result of a comment that asks for keys, at the tables where they
// belong.
func (s *sarifWriter) keys(c *review.Comment) sarifResult {
	asked := wording.Asked(c)
	heading := wording.Heading(c)
	_, found := wording.MeansAndFound(asked[0])
	help := sarifText(heading)
	if found != "" {
		help.Text += " " + sarifEscaped(wording.Sentence("Found: "+found))
	}
	id := keyRule + c.Key()
	rule := sarifRule{ID: id, Short: sarifText(heading), Full: sarifText(c.Key() + " is left out and checks wait for it"), Help: help,
		Default:    sarifDefault{sarifLevels[c.Severity]},
		Properties: map[string]any{"severity": string(c.Severity), "tags": []string{"left-out", string(c.Severity)}}}
	out := s.about(c, id, s.rule(rule))
	for i, m := range asked {
		at := wording.Belonging(m)
		if !at.Known() {
			continue
		}
		l := s.location(at)
		l.Logical = []sarifLogical{{Name: m.Need.Keys[0], FullName: m.Need.Keys[0], Kind: "member"}}
		if out.Locations == nil {
			out.Locations = []sarifLocation{l}
		}
		if len(asked) > 1 {
			s.relate(&out, l, c.NumberOf(i, len(asked))+" "+m.Need.String())
		}
	}
	out.Fingerprints[fingerprintName] = digest(append([]string{id}, sorted(wording.Each(asked, func(m *review.Missing) string { return m.Need.String() }))...)...)
	out.Properties["needs"] = wording.Each(asked, func(m *review.Missing) string { return m.Need.String() })
	return out
}

// about is what the result of a comment says of it.
func (s *sarifWriter) about(c *review.Comment, rule string, index int) sarifResult {
	kind, level := sarifKind(c.Result, c.Severity)
	text := fmt.Sprintf("%d. %s%s: %s. What would pass: %s.", c.Number, wording.Heading(c), wording.Shortly(c),
		strings.TrimSuffix(wording.Found(c), "."), strings.TrimSuffix(wording.ToPass(c), "."))
	if follows := wording.Comes(c); follows != "" {
		text += " Of it " + follows + "."
	}
	out := sarifResult{RuleID: rule, RuleIndex: index, Kind: kind, Level: level, Message: sarifText(text),
		Fingerprints: map[string]string{"comment/v1": digest(rule, string(c.Result))},
		Properties: map[string]any{"comment": c.Number, "outcome": string(c.Result), "severity": string(c.Severity), "subjects": c.Count(),
			"toPass": wording.ToPass(c)}}
	if sheet := wording.SheetOf(s.r.Job, c); sheet != "" {
		out.Properties["sheet"] = sheet
	}
	s.baselineOf(&out, c)
	if len(c.Follows) > 0 {
		follows := map[string]int{}
		for _, f := range c.Follows {
			follows[f.Check.ID] += len(f.Subjects)
		}
		out.Properties["follows"] = follows
	}
	return out
}

// comment is the result of what a check found, at its worst subject.
func (s *sarifWriter) comment(c *review.Comment) sarifResult {
	out := s.about(c, c.Check.ID, s.rules[c.Check.ID])
	out.Fingerprints[fingerprintName] = fingerprint(c.Subjects...)
	worst := s.result(c.Worst())
	if len(c.Subjects) == 1 {
		out.Suppressions = worst.Suppressions
	}
	out.Locations = worst.Locations
	for _, name := range []string{"utilisation", "verify", "needs", "reasons", "cite"} {
		if v, known := worst.Properties[name]; known {
			out.Properties[name] = v
		}
	}
	if len(c.Subjects) == 1 {
		out.Related = worst.Related
		out.Properties["subject"] = c.Worst().Subject.Label()
		return out
	}
	for _, o := range c.Subjects {
		s.join(&out, o, s.r.Number(o)+" ")
	}
	return out
}

// join adds a subject to a result.
func (s *sarifWriter) join(out *sarifResult, o *review.Outcome, number string) {
	if !o.At.Known() {
		return
	}
	at := s.location(o.At)
	at.Logical = []sarifLogical{{Name: o.Subject.Label(), FullName: o.Subject.Key, Kind: "object"}}
	s.relate(out, at, number+o.Subject.Label()+": "+shortly(o))
}

// shortly says what was found of a subject, or what is open.
func shortly(o *review.Outcome) string {
	switch {
	case o.Result == review.Undetermined:
		return wording.Open(o)
	case o.Measure == nil || o.Limit == nil:
		return o.Finding
	}
	return o.Measure.Text + ", " + string(o.LimitKind) + " " + o.Limit.Text
}

// relate adds a related place, up to the most that a result has.
func (s *sarifWriter) relate(out *sarifResult, at sarifLocation, text string) {
	if len(out.Related) == mostRelated {
		return
	}
	at.ID = len(out.Related) + 1
	message := sarifText(text)
	at.Message = &message
	if at.Physical.Region != nil {
		region := *at.Physical.Region
		region.Snippet = nil
		at.Physical.Region = &region
	}
	out.Related = append(out.Related, at)
}

// result is one outcome.
func (s *sarifWriter) result(o *review.Outcome) sarifResult {
	kind, level := sarifKind(o.Result, o.Check.Severity)
	out := sarifResult{RuleID: o.Check.ID, RuleIndex: s.rules[o.Check.ID], Kind: kind, Level: level,
		Fingerprints: map[string]string{fingerprintName: fingerprint(o)},
		Properties:   map[string]any{"outcome": string(o.Result), "severity": string(o.Check.Severity), "subject": o.Subject.Label()}}
	said := ""
	switch o.Result {
	case review.NotMet:
		said = o.Check.Title + ": " + strings.TrimSuffix(o.Finding, ".") + ". What would pass: " + o.Remedy
	case review.Met:
		said = o.Check.Title + ": met"
	default:
		said = o.Check.Title + ": " + wording.FirstLine(o.Why())
	}
	number := s.r.Number(o)
	if number != "" {
		out.Properties["number"] = number
		number += ". "
	}
	out.Message = sarifText(number + o.Subject.Label() + ": " + said)
	if o.Utilisation != nil {
		out.Properties["utilisation"] = *o.Utilisation
	}
	if len(o.Unconfirmed) > 0 {
		out.Properties["verify"] = o.Unconfirmed
	}
	if len(o.Needs) > 0 {
		out.Properties["needs"] = wording.KeysOf(o)
	}
	if len(o.Reasons) > 0 {
		out.Properties["reasons"] = wording.Each(o.Reasons, wording.FirstLine)
	}
	if len(o.Cites) > 0 {
		out.Properties["cite"] = wording.Each(o.Cites, wording.Cited)
	}
	if o.At.Known() {
		at := s.location(o.At)
		at.Logical = []sarifLogical{{Name: o.Subject.Label(), FullName: o.Subject.Key, Kind: "object"}}
		if at.Physical.Region != nil && kind != "fail" {
			region := *at.Physical.Region
			region.Snippet = nil // nobody looks for it there
			at.Physical.Region = &region
		}
		out.Locations = []sarifLocation{at}
	}
	if kind == "fail" {
		for _, at := range o.Also() {
			s.relate(&out, s.location(at), "This value contributes.")
		}
	}
	for _, d := range []*review.Deviation{o.Excused, o.Claimed} {
		if d == nil {
			continue
		}
		suppression := sarifSuppression{Kind: "external", Status: "accepted", Justification: sarifText(wording.Sentence(d.Reason.Value) + " Accepted by " + wording.AcceptedBy(d)).Text}
		if d.Claim {
			suppression.Kind = "inSource"
		}
		if !d.Counts {
			suppression.Status = "underReview"
			suppression.Justification = sarifText(wording.Claimed(d)).Text
		}
		at := s.location(d.Check.At)
		suppression.Location = &at
		out.Suppressions = append(out.Suppressions, suppression)
	}
	s.baseline(&out, o)
	return out
}

const fingerprintName = "checkAndSubject/v2"

// fingerprint stays the same while check and subjects do, wherever values move in
// the file and whatever they are. No two outcomes share it.
func fingerprint(list ...*review.Outcome) string {
	return digest(sorted(wording.Each(list, func(o *review.Outcome) string { return job.Join("", o.Check.ID) + "." + exactly(o) }))...)
}

// exactly is the key, the kind and the exact name of the subject of an outcome,
// written as one key, so that no two subjects share it.
func exactly(o *review.Outcome) string {
	whole := job.Join("", o.Subject.Key)
	for _, part := range []string{o.Subject.Kind.Name, o.Subject.Name} {
		whole = job.Join(whole, part)
	}
	return whole
}

func sorted(list []string) []string {
	slices.Sort(list)
	return list
}

// digest is a short sum of lines.
func digest(lines ...string) string {
	sum := sha256.Sum256([]byte(strings.Join(lines, "\n")))
	return hex.EncodeToString(sum[:16])
}

// location is a place of the job. Results share its parts, which are not to be changed.
func (s *sarifWriter) location(at source.Span) sarifLocation {
	l, known := s.located[at]
	if !known {
		l = s.locate(at)
		s.located[at] = l
	}
	return l
}

func (s *sarifWriter) locate(at source.Span) sarifLocation {
	index, known := s.files[at.File]
	l := sarifLocation{Physical: sarifPhysical{File: s.uri(at.File.Name)}}
	if known {
		l.Physical.File.Index = &index
	}
	from, to := at.Position(), at.EndPosition()
	if from.Line == 0 {
		return l
	}
	if to.Line < from.Line || to.Line == from.Line && to.UTF16 <= from.UTF16 {
		to = from
		to.UTF16++
	}
	l.Physical.Region = &sarifRegion{StartLine: from.Line, StartColumn: from.UTF16, EndLine: to.Line, EndColumn: to.UTF16}
	if text := at.Text(); text != "" {
		l.Physical.Region.Snippet = &sarifContent{text}
	}
	return l
}

// uri names a file: relative to the folder of the command where it was given
// so, else by its file scheme.
func (s *sarifWriter) uri(name string) sarifURI {
	slashed := filepath.ToSlash(name)
	if filepath.IsAbs(name) {
		return sarifURI{URI: (&url.URL{Scheme: "file", Path: "/" + strings.TrimPrefix(slashed, "/")}).String()}
	}
	return sarifURI{URI: (&url.URL{Path: slashed}).String(), BaseID: sarifBase}
}

// sarifText is a text of ours or of the job as a plain text message.
func sarifText(text string) sarifMessage {
	return sarifMessage{Text: sarifEscaped(wording.Sentence(text))}
}

// sarifEscaped keeps a text from being read as a placeholder (3.11.5) or as a link
// into the log (3.11.6).
func sarifEscaped(text string) string {
	return sarifSigns.Replace(text)
}

var sarifSigns = strings.NewReplacer("{", "{{", "}", "}}", "](", "] (")
