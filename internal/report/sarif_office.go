package report

import (
	"fmt"

	"plumbrule/internal/codebook"
	"plumbrule/internal/review"
	"plumbrule/internal/wording"
)

// The states that a result has against an earlier log (3.27.24). Where one result
// has a state all of them do.
const (
	sarifNew       = "new"
	sarifUnchanged = "unchanged"
	sarifUpdated   = "updated"
	sarifAbsent    = "absent"
)

var sarifStates = map[string]string{string(review.New): sarifNew, string(review.Same): sarifUnchanged, string(review.Altered): sarifUpdated,
	string(review.Answered): sarifAbsent, string(review.Withdrawn): sarifAbsent}

// compared tells whether the review is held against an earlier one or against a
// list of what was there before.
func (s *sarifWriter) compared() bool { return s.r.Earlier != nil || s.r.Standing != nil }

// baseline gives the result of an outcome its state.
func (s *sarifWriter) baseline(out *sarifResult, o *review.Outcome) {
	switch number := s.r.Number(o); {
	case !s.compared():
	case !o.Outstanding() || o.Listed:
		out.Baseline = sarifUnchanged
	case s.r.Earlier != nil && s.states.Item(number) != "":
		out.Baseline = sarifStates[s.states.Item(number)]
		out.Properties["state"] = s.states.Item(number)
	default:
		out.Baseline = sarifNew
	}
}

// baselineOf gives the result of a comment its state, and the response to it.
func (s *sarifWriter) baselineOf(out *sarifResult, c *review.Comment) {
	if !s.compared() {
		return
	}
	state := s.states.Comment(c.Number)
	switch {
	case c.Listed():
		out.Baseline = sarifUnchanged
	case c.PartListed():
		out.Baseline = sarifUpdated
	case state != "":
		out.Baseline = sarifStates[state]
	default:
		out.Baseline = sarifNew
	}
	if state != "" {
		out.Properties["state"] = state
	}
	if text := s.states.Response(s.r, c.Number); text != "" {
		out.Properties["response"] = text
	}
	if s.r.Standing != nil {
		out.Properties["listed"] = c.Listed()
	}
}

// gone are results for the earlier comments that are answered or withdrawn. They
// have no place in the job any more.
func (s *sarifWriter) gone() []sarifResult {
	var out []sarifResult
	for _, rec := range earlier(s.r) {
		if rec.State.Open() {
			continue
		}
		id, index := rec.Check, 0
		if known, ok := s.rules[id]; ok {
			index = known
		} else {
			if id == "" {
				id = keyRule + rec.Key
			}
			index = s.rule(sarifRule{ID: id, Short: sarifText(wording.RecordHeading(rec)), Full: sarifText(wording.RecordHeading(rec)), Help: sarifText(wording.RecordHeading(rec)),
				Default: sarifDefault{sarifLevels[rec.Severity]}, Properties: map[string]any{"severity": string(rec.Severity), "tags": []string{"earlier"}}})
		}
		result := sarifResult{RuleID: id, RuleIndex: index, Kind: "pass", Level: "none", Baseline: sarifAbsent,
			Message:      sarifText(fmt.Sprintf("%d. %s: %s", rec.Number, wording.RecordHeading(rec), wording.ItemsOf(rec))),
			Fingerprints: map[string]string{"comment/v1": digest(id, fmt.Sprint(rec.Number))},
			Properties:   map[string]any{"comment": rec.Number, "state": string(rec.State), "severity": string(rec.Severity)}}
		if text := wording.ResponseTo(s.r, rec); text != "" {
			result.Properties["response"] = text
		}
		if files := s.r.Job.Files; len(files) > 0 {
			result.Locations = []sarifLocation{s.location(files[0].Start())}
		}
		out = append(out, result)
	}
	return out
}

// deviations are results for those that excuse nothing, which somebody has to look
// at, and for claims.
func (s *sarifWriter) deviations() []sarifResult {
	var out []sarifResult
	for _, d := range s.r.Deviations {
		id, text, says, severity := unfoundedRule, wording.Unfounded(d), "Deviations that excuse nothing", codebook.Verify
		if d.Finding == "" {
			if d.Counts || !d.Claim {
				continue
			}
			id, text, says, severity = claimRule, wording.Claimed(d), "Deviations that the applicant claims", codebook.Advisory
		}
		index := s.rule(sarifRule{ID: id, Short: sarifText(says), Full: sarifText(says), Help: sarifText("The authority's own file grants deviations: check --deviations FILE."),
			Default: sarifDefault{sarifLevels[severity]}, Properties: map[string]any{"severity": string(severity), "tags": []string{"deviation"}}})
		result := sarifResult{RuleID: id, RuleIndex: index, Kind: "fail", Level: sarifLevels[severity], Message: sarifText(text),
			Locations:    []sarifLocation{s.location(d.Check.At)},
			Fingerprints: map[string]string{fingerprintName: digest(id, d.Check.Value, d.Subject.Value, fmt.Sprint(d.Claim))},
			Properties:   map[string]any{"outcome": "deviation", "check": d.Check.Value, "subject": d.Subject.Value, "severity": string(severity), "claim": d.Claim}}
		if d.Answer != "" {
			result.Properties["answer"] = string(d.Answer)
		}
		if s.compared() {
			result.Baseline = sarifUnchanged
		}
		out = append(out, result)
	}
	return out
}
