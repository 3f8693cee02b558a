package report

import (
	"crypto/sha256"
	"encoding/hex"
	"encoding/json"
	"fmt"
	"io"
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

type sarifLog struct {
	Version string     `json:"version"`
	Schema  string     `json:"$schema"`
	Runs    []sarifRun `json:"runs"`
}

type sarifRun struct {
	Tool          sarifTool                `json:"tool"`
	Invocations   []sarifInvocation        `json:"invocations"`
	ColumnKind    string                   `json:"columnKind"`
	BaseIDs       map[string]sarifArtifact `json:"originalUriBaseIds"`
	Artifacts     []sarifFile              `json:"artifacts"`
	Results       []sarifResult            `json:"results"`
	AutomationIDs sarifAutomation          `json:"automationDetails"`
	Properties    map[string]any           `json:"properties"`
}

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

// SARIF writes the reviews as one log with a run for each. version is that of
// the tool.
func SARIF(w io.Writer, list []*review.Review, version string) error {
	log := sarifLog{Version: sarifVersion, Schema: sarifSchema, Runs: []sarifRun{}}
	for _, r := range list {
		log.Runs = append(log.Runs, newSarifRun(r, version))
	}
	e := json.NewEncoder(w)
	e.SetEscapeHTML(false)
	e.SetIndent("", " ") // a large job has thousands of results, twelve levels deep
	return e.Encode(log)
}

var sarifLevels = map[codebook.Severity]string{codebook.Correction: "error", codebook.Verify: "warning", codebook.Advisory: "note"}

var sarifKinds = map[review.Result]string{review.NotMet: "fail", review.Undetermined: "open", review.Met: "pass", review.NotApplicable: "notApplicable"}

func newSarifRun(r *review.Review, version string) sarifRun {
	run := sarifRun{
		Tool: sarifTool{sarifDriver{Name: "plumbrule", Version: sarifRelease(version),
			ShortText: sarifMessage{Text: "Plan review and code compliance for photovoltaic submittals."},
			FullText:  sarifMessage{Text: wording.Notice + " " + strings.Join(wording.Cautions, " ")}}},
		ColumnKind:    "utf16CodeUnits",
		BaseIDs:       map[string]sarifArtifact{sarifBase: {sarifMessage{Text: "The folder that the command ran in."}}},
		AutomationIDs: sarifAutomation{"plumbrule/" + filepath.ToSlash(wording.JobFile(r)) + "/"},
		Properties:    map[string]any{"ruleSet": r.Book.Hash},
		Artifacts:     []sarifFile{},
		Results:       make([]sarifResult, 0, len(r.Outcomes)),
	}
	s := &sarifWriter{files: map[*source.File]int{}, rules: map[*codebook.Check]int{}}
	for i, c := range r.Book.Checks {
		s.rules[c] = i
		run.Tool.Driver.Rules = append(run.Tool.Driver.Rules, newSarifRule(c))
	}
	for i, f := range r.Job.Files {
		s.files[f] = i
		sum := sha256.Sum256(f.Text)
		run.Artifacts = append(run.Artifacts, sarifFile{Location: s.uri(f.Name), Roles: []string{"analysisTarget"}, Hashes: map[string]string{"sha-256": hex.EncodeToString(sum[:])}})
	}
	invocation := sarifInvocation{Successful: true, Notifications: []sarifNotification{}}
	for i := range r.Outcomes {
		o := &r.Outcomes[i]
		run.Results = append(run.Results, s.result(o))
		if o.Defect != "" {
			first, _, _ := strings.Cut(o.Defect, "\n")
			invocation.Successful = false
			invocation.Notifications = append(invocation.Notifications, sarifNotification{Level: "error",
				Message: sarifText(fmt.Sprintf("The check failed for %s: %s", o.Subject.Label(), first)),
				Rule:    &sarifRuleRef{o.Check.ID, s.rules[o.Check]}})
		}
	}
	for _, d := range r.Unused {
		notification := sarifNotification{Level: "warning",
			Message: sarifText(fmt.Sprintf("The accepted deviation from %s excuses nothing in this job.", d.Check.Value))}
		if i, known := checkIndex(r.Book, d.Check.Value); known {
			notification.Rule = &sarifRuleRef{d.Check.Value, i}
		}
		if d.Check.At.Known() {
			notification.Locations = []sarifLocation{s.location(d.Check.At)}
		}
		invocation.Notifications = append(invocation.Notifications, notification)
	}
	run.Invocations = []sarifInvocation{invocation}
	return run
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

func checkIndex(b *codebook.Codebook, id string) (int, bool) {
	i := slices.IndexFunc(b.Checks, func(c *codebook.Check) bool { return c.ID == id })
	return i, i >= 0
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
	files map[*source.File]int
	rules map[*codebook.Check]int
}

func (s *sarifWriter) result(o *review.Outcome) sarifResult {
	out := sarifResult{RuleID: o.Check.ID, RuleIndex: s.rules[o.Check], Kind: sarifKinds[o.Result], Level: "none",
		Fingerprints: map[string]string{"checkAndSubject/v2": fingerprint(o)},
		Properties:   map[string]any{"outcome": string(o.Result), "severity": string(o.Check.Severity), "subject": o.Subject.Label()}}
	said := ""
	switch o.Result {
	case review.NotMet:
		out.Level = sarifLevels[o.Check.Severity]
		said = o.Check.Title + ": " + strings.TrimSuffix(o.Finding, ".") + ". What would pass: " + o.Remedy
	case review.Met:
		said = o.Check.Title + ": met"
	default:
		said = o.Check.Title + ": " + wording.FirstLine(o.Why())
	}
	out.Message = sarifText(o.Subject.Label() + ": " + said)
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
		if at.Physical.Region != nil && (o.Result == review.Met || o.Result == review.NotApplicable) {
			at.Physical.Region.Snippet = nil // nobody looks for it there
		}
		out.Locations = []sarifLocation{at}
	}
	if o.Result == review.NotMet || o.Result == review.Undetermined {
		for i, at := range o.Also() {
			related := s.location(at)
			related.ID = i + 1
			related.Message = &sarifMessage{Text: "This value contributes."}
			out.Related = append(out.Related, related)
		}
	}
	if o.Excused != nil {
		why := wording.Sentence(o.Excused.Reason) + " Accepted by " + o.Excused.By
		if o.Excused.Date != "" {
			why += " on " + o.Excused.Date
		}
		at := s.location(o.Excused.At)
		out.Suppressions = []sarifSuppression{{Kind: "inSource", Status: "accepted", Justification: wording.Sentence(why), Location: &at}}
	}
	return out
}

// fingerprint stays the same while check and subject do, wherever the value
// moves in the file. It is made from the check, the subject's key, its kind and
// its exact name, written as one key, so that no two subjects share it.
func fingerprint(o *review.Outcome) string {
	whole := job.Join("", o.Check.ID)
	for _, part := range []string{o.Subject.Key, o.Subject.Kind.Name, o.Subject.Name} {
		whole = job.Join(whole, part)
	}
	sum := sha256.Sum256([]byte(whole))
	return hex.EncodeToString(sum[:16])
}

func (s *sarifWriter) location(at source.Span) sarifLocation {
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
	return strings.NewReplacer("{", "{{", "}", "}}", "](", "] (").Replace(text)
}
