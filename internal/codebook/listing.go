package codebook

import (
	"regexp"
	"slices"
	"strings"

	"cel.dev/cel-go/common/decls"
	"cel.dev/cel-go/common/types"
	"cel.dev/cel-go/common/types/ref"
)

// A listing is written in many ways: "UL1741", "IEEE 1547, UL 1741 SB",
// "UL/IEC 61730-1/-2". It is read here word by word, so that a rule file names
// the standard that it wants and nothing else.

var (
	listingWord = regexp.MustCompile(`[A-Z]+|[0-9]+(?:\.[0-9]+)*|[,;()\[\]]|[-/:&+]`)

	// Those who publish standards or whose mark stands for a listing.
	listingBodies = words("UL ULC ANSI IEC IEEE CSA EN ISO ETL TUV VDE AS NZS JIS FM ASTM NFPA NEMA BS DIN")
	// Words that may stand between the one who publishes a standard and its number.
	listingBetween = words("STD STDS STANDARD STANDARDS NO NUMBER SUBJECT LISTED LISTING CERTIFIED TO PER UNDER FOR SAFETY THE OF AND SA SB SC SUPPLEMENT PART PARTS A B")
	// Words that say that a listing is not, or not yet, there.
	listingDenied = words("NOT NO NONE UNLISTED NEVER WITHOUT PENDING APPLIED AWAITING AWAITED EXPECTED PLANNED PROCESS PROGRESS REVIEW TESTING EXPIRED WITHDRAWN REVOKED LAPSED TBD UNKNOWN DESIGNED EQUIVALENT INTENDED RECOGNIZED RECOGNISED EXCEPT")
	listingWhole  = words("BOTH ALL")
)

func words(list string) []string { return strings.Fields(list) }

// clause is one part of a listing between commas, brackets or semicolons.
type clause struct {
	standards []string // as "UL 1741"
	field     bool     // speaks of a field label or evaluation
	denied    bool
	bare      bool // says nothing but that something is not there
	whole     bool // ... and of everything named
}

// listedTo is whether the text of a listing names a standard, such as "UL
// 1741", without saying that the listing is still to come.
func listedTo(text, standard string) bool {
	want := strings.Join(listingWords(standard), " ")
	return slices.ContainsFunc(clauses(text), func(c clause) bool {
		return !c.denied && slices.Contains(c.standards, want)
	})
}

// fieldLabelled is whether the text of a listing says that the equipment was
// evaluated where it stands and bears a label for that.
func fieldLabelled(text string) bool {
	return slices.ContainsFunc(clauses(text), func(c clause) bool { return c.field && !c.denied })
}

func listingWords(text string) []string {
	text = strings.ReplaceAll(strings.ToUpper(text), "U.L.", "UL")
	list := listingWord.FindAllString(text, -1)
	for n, w := range list {
		if w == "CUL" || w == "CULUS" || w == "ULUS" {
			list[n] = "UL"
		}
	}
	return list
}

func clauses(text string) []clause {
	var (
		list   = []clause{{bare: true}}
		bodies []string
		last   string // the word before
		joined = false
		field  = false
	)
	all := listingWords(text)
	for n, w := range all {
		next := ""
		if n+1 < len(all) {
			next = all[n+1]
		}
		c := &list[len(list)-1]
		switch {
		case strings.Contains(",;()[]", w):
			list = append(list, clause{bare: true})
			field = false
		case strings.Contains("-/:&+", w):
		case '0' <= w[0] && w[0] <= '9':
			c.bare = false
			part := (last == "-" || last == ":") && !joined && len(c.standards) > 0
			if !part { // "-1" and ":2021" after a number are its part and its year
				for _, b := range bodies {
					c.standards = append(c.standards, b+" "+w)
				}
			}
			joined = false
		case slices.Contains(listingBodies, w):
			c.bare = false
			if !joined {
				bodies = nil
			}
			bodies, joined = append(bodies, w), true
		default:
			if w == "FIELD" {
				field = true
			}
			if field && (strings.HasPrefix(w, "LABEL") || strings.HasPrefix(w, "EVALUAT")) {
				c.field = true
			}
			if denies(w, next) {
				c.denied = true
			} else if slices.Contains(listingWhole, w) {
				c.whole = true
			} else if !slices.Contains(listingBetween, w) && !slices.Contains(words("IS YET IN BE STILL COMPONENT ITS"), w) {
				c.bare = false
			} else if slices.Contains(words("SA SB SC"), w) {
				c.bare = false
			}
			if w != "AND" && joined {
				joined = false // words part one who publishes from the next
			}
			if !slices.Contains(listingBetween, w) {
				bodies = nil
			}
		}
		last = w
	}
	list = slices.DeleteFunc(list, func(c clause) bool { return c.bare && !c.denied && !c.whole })
	return deny(list)
}

// denies is whether a word says that a listing is not there. "No" before a
// number stands for number, and a testing laboratory is one that lists.
func denies(w, next string) bool {
	switch {
	case w == "NO" && next != "" && next[0] <= '9':
		return '0' > next[0]
	case w == "TESTING" && (strings.HasPrefix(next, "LAB") || next == "BODY" || next == "AGENCY" || next == "FIRM"):
		return false
	}
	return slices.Contains(listingDenied, w)
}

// deny carries a clause that only says "pending" to the one before it, or to
// all of them; one that opens the text is about what follows.
func deny(list []clause) []clause {
	for n, c := range list {
		if !c.denied || !c.bare {
			continue
		}
		for m := range list {
			if m == n-1 || n == 0 || c.whole && m < n {
				list[m].denied = true
			}
		}
	}
	return list
}

// listingFunctions are what rules say of the text of a listing.
func listingFunctions() []*decls.FunctionDecl {
	text := types.StringType
	to, err := decls.NewFunction("listed_to", decls.MemberOverload("text_listed_to", []*types.Type{text, text}, types.BoolType,
		decls.BinaryBinding(func(a, b ref.Val) ref.Val {
			return types.Bool(listedTo(a.Value().(string), b.Value().(string)))
		})))
	if err != nil {
		panic(err)
	}
	field, err := decls.NewFunction("field_labelled", decls.MemberOverload("text_field_labelled", []*types.Type{text}, types.BoolType,
		decls.UnaryBinding(func(a ref.Val) ref.Val { return types.Bool(fieldLabelled(a.Value().(string))) })))
	if err != nil {
		panic(err)
	}
	return []*decls.FunctionDecl{to, field}
}
