package draft

import (
	"fmt"
	"regexp"
	"slices"
	"strconv"
	"strings"

	"plumbrule/internal/job"
	"plumbrule/internal/quantity"
)

// arrayForm is how arrays are said.
const arrayForm = `arrays parted by semicolons, each a plane with rows x columns, as "front: 2 x 8 portrait, 18 in below ridge"; after a comma may stand "LENGTH above eave" or "LENGTH below ridge", and "centred", "LENGTH from left" or "LENGTH from right"`

// grid is an array as it is said.
type grid struct {
	plane         string
	rows, columns int
	orientation   string // "" for open
	across        string // a word of array.across
	setback       string // as TOML writes it; "" for none
	high          string // the key that says how high it stands; "" for open
	distance      string // its value, as TOML writes it
}

var (
	gridForm  = regexp.MustCompile(`^([^:]+):\s*(\d{1,4})\s*[xX×]\s*(\d{1,4})(?:\s+(portrait|landscape))?$`)
	highForm  = regexp.MustCompile(`^(.+?)\s+(below ridge|above eave)$`)
	sidesForm = regexp.MustCompile(`^(.+?)\s+from (left|right)$`)
)

// arraysOf reads the arrays.
func arraysOf(answer string) ([]grid, error) {
	var list []grid
	for _, said := range strings.Split(answer, ";") {
		said = strings.TrimSpace(said)
		if said == "" {
			continue
		}
		parts := strings.Split(said, ",")
		head := gridForm.FindStringSubmatch(strings.TrimSpace(parts[0]))
		if head == nil {
			return nil, fmt.Errorf("found %q; expected are %s", said, arrayForm)
		}
		g := grid{plane: strings.TrimSpace(head[1]), orientation: head[4], across: "centred"}
		g.rows, _ = strconv.Atoi(head[2]) // of at most four digits
		g.columns, _ = strconv.Atoi(head[3])
		if g.rows < 1 || g.rows > 1000 || g.columns < 1 || g.columns > 1000 {
			return nil, fmt.Errorf("%q: from 1 to 1000 rows and columns are expected", said)
		}
		for _, p := range parts[1:] {
			if err := g.place(strings.TrimSpace(p)); err != nil {
				return nil, fmt.Errorf("%q: %w", said, err)
			}
		}
		list = append(list, g)
	}
	if len(list) == 0 {
		return nil, fmt.Errorf("found nothing; expected are %s", arrayForm)
	}
	return list, nil
}

// place reads one of the words behind the commas of an array.
func (g *grid) place(said string) error {
	if said == "centred" {
		return nil
	}
	if m := highForm.FindStringSubmatch(said); m != nil {
		if g.high != "" {
			return fmt.Errorf("how high it stands is said twice")
		}
		g.high = strings.ReplaceAll(m[2], " ", "_")
		return g.length(m[1], &g.distance)
	}
	if m := sidesForm.FindStringSubmatch(said); m != nil {
		if g.setback != "" {
			return fmt.Errorf("where it stands across is said twice")
		}
		g.across = "from_" + m[2]
		return g.length(m[1], &g.setback)
	}
	return fmt.Errorf("found %q; %q, %q, %q, %q or %q is expected", said, "LENGTH below ridge", "LENGTH above eave", "centred", "LENGTH from left", "LENGTH from right")
}

func (g *grid) length(said string, into *string) error {
	v, err := quantity.Parse(said, quantity.Length)
	if err == nil && v.SI < 0 {
		err = fmt.Errorf("%q is out of range; zero or more is expected", said)
	}
	*into = job.Quote(said)
	return err
}

func arraysSaid(answer string) error {
	_, err := arraysOf(answer)
	return err
}

// footing is how feet stand on ribs or members, as it is said.
type footing struct {
	every     int
	on        string
	staggered bool
}

var feetForm = regexp.MustCompile(`^every (\d{1,3}) (ribs?|members?)( staggered)?$`)

func feetOf(answer string) (f footing, err error) {
	m := feetForm.FindStringSubmatch(strings.Join(strings.Fields(answer), " "))
	if m == nil {
		return f, fmt.Errorf(`found %q; "every 3 members", "every 2 ribs" or "every 2 ribs staggered" is expected`, answer)
	}
	f.every, _ = strconv.Atoi(m[1])
	f.on, f.staggered = strings.TrimSuffix(m[2], "s")+"s", m[3] != ""
	switch {
	case f.every < 1 || f.every > 100:
		return f, fmt.Errorf("%q: every 1 to every 100 is expected", answer)
	case f.every == 1 && f.staggered:
		return f, fmt.Errorf("%q: feet on every one cannot be staggered", answer)
	}
	return f, nil
}

func feetSaid(answer string) error {
	_, err := feetOf(answer)
	return err
}

// countsOf reads whole numbers parted by commas, in groups parted by
// semicolons.
func countsOf(answer string) (groups [][]int, err error) {
	for _, said := range strings.Split(answer, ";") {
		var group []int
		for _, member := range strings.Split(said, ",") {
			n, err := strconv.Atoi(strings.TrimSpace(member))
			if err != nil || n < 1 || n > 200 {
				return nil, fmt.Errorf("found %q; a whole number from 1 to 200 is expected", strings.TrimSpace(member))
			}
			group = append(group, n)
		}
		groups = append(groups, group)
	}
	return groups, nil
}

func countsSaid(answer string) error {
	_, err := countsOf(answer)
	return err
}

func branchesSaid(answer string) error {
	groups, err := countsOf(answer)
	if err == nil && len(groups) > 1 {
		err = fmt.Errorf("found %q; whole numbers parted by commas are expected", answer)
	}
	return err
}

// sum adds up groups of counts.
func sum(groups [][]int) (total int) {
	for _, n := range slices.Concat(groups...) {
		total += n
	}
	return total
}
