package circuits

import (
	"math"
	"slices"

	"plumbrule/internal/electrical"
	"plumbrule/internal/job"
	"plumbrule/internal/quantity"
	"plumbrule/internal/terms"
)

var (
	serviceKind     = terms.KindFor[job.Service]()
	transformerKind = terms.KindFor[job.Transformer]()
)

// theService is how a job names the service as what supplies a panel.
const theService = "service"

// reach is what current of the sources reaches at some point of the wiring:
// inverters, other sources of busbars on the way, and the transformers passed
// since the inverters.
type reach struct {
	inverters    []*job.Inverter
	system       job.Text // of the wiring that the inverters are on
	others       []otherSources
	transformers []*job.Transformer
}

// otherSources are the other sources of one busbar, and how many transformers
// stand between the inverters and it.
type otherSources struct {
	currents job.Given[[]float64]
	none     bool // whether leaving them out says that there are none
	passed   int
}

// with is the reach past a further busbar.
func (r reach) with(currents job.Given[[]float64], none bool) reach {
	r.others = append(slices.Clone(r.others), otherSources{currents, none, len(r.transformers)})
	return r
}

// past is the reach past a transformer.
func (r reach) past(t *job.Transformer) reach {
	if len(r.transformers) == 0 {
		r.system = t.System
	}
	r.transformers = append(slices.Clone(r.transformers), t)
	return r
}

// outputs are the output currents of all sources, those of the inverters
// together first, each as it is past the transformers on its way.
func (r reach) outputs(c *terms.Call) []float64 {
	if len(r.inverters) == 0 && !c.Stop() {
		c.Fail("no inverter reaches it")
		return nil
	}
	out := outputSum(c, r.inverters, electrical.System(terms.Get(c, r.system)))
	list := []float64{out.maximum * r.ratio(c, 0)}
	for _, o := range r.others {
		currents := terms.Peek(c, o.currents)
		if !o.none {
			currents = terms.Get(c, o.currents)
		}
		for _, x := range currents {
			list = append(list, x*r.ratio(c, o.passed))
		}
	}
	return list
}

// required is what conductors and devices need for all sources together.
func (r reach) required(c *terms.Call) float64 {
	sum := 0.0
	for _, x := range r.outputs(c) {
		sum += x
	}
	return sum * named(c, "705.28", "continuous")
}

// ratio is by how much the transformers from one on change a current: their
// power is the same on both sides.
func (r reach) ratio(c *terms.Call, from int) float64 {
	k := 1.0
	for _, t := range r.transformers[from:] {
		k *= c.Q(t.Voltage) * phases(terms.Get(c, t.System)) / (c.Q(t.UtilityVoltage) * phases(terms.Get(c, t.UtilitySystem)))
	}
	return k
}

// phases is the factor of a system in its power.
func phases(system string) float64 {
	if system == string(electrical.ThreePhase) {
		return math.Sqrt(3)
	}
	return 1
}

// feederMark is a feeder between a panel or transformer and what supplies it,
// which current of the sources passes.
type feederMark struct {
	reach
	panel       *job.Panel       // that it supplies; nil for none
	transformer *job.Transformer // that it supplies; nil for none
	joined      bool             // whether the interconnection is made to it
}

// busMark is one busbar that current of the sources reaches.
type busMark struct {
	reach
	panel   *job.Panel    // nil for the service's own
	first   bool          // whether the interconnection is made at it
	feeders []*feederMark // through which sources reach it
}

func (b *busMark) gathers(c *terms.Call) bool {
	return b.panel != nil && terms.Stated(c, b.panel.Loads) && !terms.Get(c, b.panel.Loads)
}

// gap stands for busbars and feeders that cannot be told.
type gap struct {
	name string
	key  string
	need terms.Need
}

// chain is every busbar and feeder that current of the sources reaches.
type chain struct {
	buses   []*busMark
	feeders []*feederMark
	gaps    []gap
}

var panelsInChain = terms.Analyse(submittalKind, "busbars and feeders that the sources reach", func(c *terms.Call, j *job.Job) *chain {
	ch := &chain{}
	p := &j.Interconnection
	kind := terms.Peek(c, p.Kind)
	if kind == "" {
		ch.gaps = append(ch.gaps, gap{"", p.Kind.Key, terms.Need{Key: p.Kind.Key, At: p.Kind.At}})
		return ch
	}
	at, _ := terms.Seek(c, panelKind, p.Panel)
	all := reach{system: j.Service.System}
	for i := range j.Inverters {
		all.inverters = append(all.inverters, &j.Inverters[i])
	}
	if at != nil {
		all.system = at.System
	}
	if kind == "busbar" {
		ch.add(c, at, all, nil, true, map[*job.Panel]bool{})
	} else if kind != "supply-side" {
		f := &feederMark{reach: all.with(p.OtherSources, false), panel: at, joined: true}
		ch.feeders = append(ch.feeders, f)
		if at == nil {
			ch.add(c, nil, f.reach, f, false, map[*job.Panel]bool{})
		} else {
			ch.leave(c, at.Name.Value, at.Supply, f, map[*job.Panel]bool{at: true})
		}
	}
	ch.gather(c, at, kind)
	return ch
})

// add adds the busbar of a panel, nil for the service's, and all above it.
func (ch *chain) add(c *terms.Call, p *job.Panel, r reach, from *feederMark, first bool, seen map[*job.Panel]bool) {
	b := &busMark{panel: p, first: first}
	if from != nil {
		b.feeders = []*feederMark{from}
	}
	s := &c.Job().Service
	switch {
	case p == nil && !first && !terms.Get(c, s.HasBusbar):
		return
	case p == nil:
		b.reach = r.with(either(c, first, c.Job().Interconnection.OtherSources, s.OtherSources), false)
	default:
		b.reach = r.with(either(c, first, c.Job().Interconnection.OtherSources, p.OtherSources), b.gathers(c))
	}
	ch.buses = append(ch.buses, b)
	if p == nil {
		return
	}
	seen[p] = true
	f := &feederMark{reach: b.reach, panel: p}
	ch.feeders = append(ch.feeders, f)
	ch.leave(c, p.Name.Value, p.Supply, f, seen)
}

// leave goes on from a feeder to what supplies it.
func (ch *chain) leave(c *terms.Call, name string, supply job.Text, f *feederMark, seen map[*job.Panel]bool) {
	r := f.reach
	passed := map[*job.Transformer]bool{}
	for {
		if !terms.Stated(c, supply) {
			ch.gaps = append(ch.gaps, gap{"above " + name, supply.Key, terms.Need{Key: supply.Key, At: supply.At}})
			return
		}
		to := terms.Peek(c, supply)
		if to == theService {
			ch.add(c, nil, r, f, false, seen)
			return
		}
		if p, ok := terms.Seek(c, panelKind, supply); ok {
			if seen[p] {
				ch.gaps = append(ch.gaps, gap{"above " + name, supply.Key, terms.Need{Why: "the supply of " + name + " leads back to " + to, At: supply.At}})
				return
			}
			ch.add(c, p, r, f, false, seen)
			return
		}
		t, ok := terms.Seek(c, transformerKind, supply)
		if !ok || passed[t] {
			ch.gaps = append(ch.gaps, gap{"above " + name, supply.Key, terms.Need{Why: "the supply of " + name + ", " + to + ", leads nowhere", At: supply.At}})
			return
		}
		passed[t] = true
		r = r.past(t)
		f = &feederMark{reach: r, transformer: t}
		ch.feeders = append(ch.feeders, f)
		name, supply = t.Name.Value, t.Supply
	}
}

// gather adds the panels besides those of the chain that inverters reach.
func (ch *chain) gather(c *terms.Call, at *job.Panel, kind string) {
	j := c.Job()
	above := map[*job.Panel]bool{}
	for _, f := range ch.feeders {
		if f.panel != nil {
			above[f.panel] = true
		}
	}
	for i := range j.Panels {
		p := &j.Panels[i]
		if above[p] {
			continue
		}
		b := &busMark{panel: p}
		b.system = p.System
		ends := ch.below(c, b, p, map[*job.Panel]bool{})
		switch {
		case len(b.inverters) > 0:
			b.reach = b.with(p.OtherSources, b.gathers(c))
			ch.buses = append(ch.buses, b)
			if kind != "supply-side" || terms.Stated(c, p.Feeder) || terms.Stated(c, p.FeederAmpacity) {
				ch.feeders = append(ch.feeders, &feederMark{reach: b.reach, panel: p})
			}
		case ends != nil && (!terms.Stated(c, p.Loads) || b.gathers(c) || at == nil && kind != "supply-side"):
			ch.gaps = append(ch.gaps, gap{p.Name.Value, job.KeyPath("panel", &p.Entity), *ends})
		}
	}
}

// below adds what circuits and the panels below bring to a panel, and says what
// keeps it from being told whether more comes.
func (ch *chain) below(c *terms.Call, b *busMark, p *job.Panel, seen map[*job.Panel]bool) (open *terms.Need) {
	seen[p] = true
	j := c.Job()
	bring := func(list []*job.Inverter) {
		for _, i := range list {
			if !slices.Contains(b.inverters, i) {
				b.inverters = append(b.inverters, i)
			}
		}
	}
	for i := range j.Circuits {
		x := &j.Circuits[i]
		if isDC(c, x) {
			continue
		}
		if !terms.Stated(c, x.To) {
			open = &terms.Need{Key: x.To.Key, At: x.To.At}
		} else if terms.Peek(c, x.To) == p.Name.Value {
			bring(terms.Refs(c, inverterKind, x.Inverters))
		}
	}
	if x, ok := terms.Seek(c, circuitKind, p.Feeder); ok {
		bring(terms.Refs(c, inverterKind, x.Inverters))
	}
	for i := range j.Panels {
		q := &j.Panels[i]
		if seen[q] || !terms.Stated(c, q.Supply) || terms.Peek(c, q.Supply) != p.Name.Value {
			continue
		}
		child := &busMark{panel: q}
		child.system = q.System
		if need := ch.below(c, child, q, seen); need != nil {
			open = need
		}
		if len(child.inverters) == 0 {
			continue
		}
		bring(child.inverters)
		child.reach = child.with(q.OtherSources, child.gathers(c))
		b.others = append(b.others, child.others...)
		b.feeders = append(b.feeders, &feederMark{reach: child.reach, panel: q})
	}
	return open
}

// either is the value of the interconnection where a busbar is the one that it
// is made at, unless the busbar alone states it.
func either[T any](c *terms.Call, first bool, own, of job.Given[T]) job.Given[T] {
	if first {
		return ask(c, own, of)
	}
	return of
}

// keys are the values of the job that describe one busbar.
type keys struct {
	option, position, throughOption                      job.Text
	busbar, main, limit, through, throughDevice, farther job.Quantity
	sources, loads                                       job.Given[[]float64]
	single, listed, controlled                           job.Flag
}

// keysOf collects them: of the busbar that the interconnection is made at, what
// the interconnection says stands before what the panel or the service does.
func keysOf(c *terms.Call, b *busMark) keys {
	p, s := &c.Job().Interconnection, &c.Job().Service
	k := keys{s.Option, s.Position, s.FeedThroughOption, s.Busbar, s.Main, s.PowerControlLimit, s.FeedThroughAmpacity, s.FeedThroughOvercurrent, s.FeedThroughLoadSide,
		s.SourceBreakers, s.LoadBreakers, s.SingleCircuit, s.ListedForSources, s.PowerControlListed}
	if q := b.panel; q != nil {
		k = keys{q.Option, q.Position, q.FeedThroughOption, q.Busbar, q.Main, q.PowerControlLimit, q.FeedThroughAmpacity, q.FeedThroughOvercurrent, q.FeedThroughLoadSide,
			q.SourceBreakers, q.LoadBreakers, q.SingleCircuit, q.ListedForSources, q.PowerControlListed}
	}
	if !b.first {
		return k
	}
	// Where neither states a value, the key of the interconnection is the one
	// that is asked for.
	k.option, k.position, k.throughOption = ask(c, p.Option, k.option), ask(c, p.Position, k.position), ask(c, p.FeedThroughOption, k.throughOption)
	k.limit, k.through = ask(c, p.PowerControlLimit, k.limit), ask(c, p.FeedThroughAmpacity, k.through)
	k.throughDevice, k.farther = ask(c, p.FeedThroughOvercurrent, k.throughDevice), ask(c, p.FeedThroughLoadSide, k.farther)
	k.loads, k.controlled = ask(c, p.LoadBreakers, k.loads), ask(c, p.PowerControlListed, k.controlled)
	if terms.Stated(c, p.Busbar) {
		k.busbar = p.Busbar
	}
	if terms.Stated(c, p.Main) {
		k.main = p.Main
	}
	if terms.Stated(c, p.SingleCircuit) {
		k.single = p.SingleCircuit
	}
	return k
}

// ask is the first of two values that is stated, and the first where none is.
func ask[T any](c *terms.Call, first, second job.Given[T]) job.Given[T] {
	if !terms.Stated(c, first) && terms.Stated(c, second) {
		return second
	}
	return first
}

// firstBus is the busbar that the interconnection is made at, whatever its kind.
func firstBus(c *terms.Call, p *job.Interconnection) *busMark {
	b := &busMark{first: true}
	b.panel, _ = terms.Seek(c, panelKind, p.Panel)
	b.system = c.Job().Service.System
	others := c.Job().Service.OtherSources
	if b.panel != nil {
		b.system, others = b.panel.System, b.panel.OtherSources
	}
	for i := range c.Job().Inverters {
		b.inverters = append(b.inverters, &c.Job().Inverters[i])
	}
	b.reach = b.with(ask(c, p.OtherSources, others), b.gathers(c))
	return b
}

// option is the option that a busbar relies on. A panel without loads that names
// none is held to the sum of its devices.
func (b *busMark) option(c *terms.Call, k keys) string {
	if b.first && terms.Get(c, c.Job().Interconnection.Kind) == "" { // a connection of another kind relies on none
		return ""
	}
	if !terms.Stated(c, k.option) && b.gathers(c) {
		return electrical.OptionBreakerSum
	}
	terms.Drive(c, k.option)
	return terms.Get(c, k.option)
}

func (b *busMark) rating(c *terms.Call) float64 {
	k := keysOf(c, b)
	terms.Drive(c, k.busbar)
	return c.Q(k.busbar)
}

// supply is the rating of the device that supplies a busbar: its main, or that
// of its feeder where it has main lugs only.
func (b *busMark) supply(c *terms.Call) float64 {
	k := keysOf(c, b)
	if b.panel != nil && !terms.Stated(c, k.main) {
		return (&feederMark{panel: b.panel}).device(c)
	}
	terms.Drive(c, k.main)
	return c.Q(k.main)
}

// devices are the ratings of the devices through which sources reach a busbar.
// Those of other sources are known by their outputs only.
func (b *busMark) devices(c *terms.Call, k keys) []float64 {
	if terms.Stated(c, k.sources) {
		return terms.Get(c, k.sources)
	}
	var list []float64
	if b.first {
		list = sourceRatings(c)
	} else {
		for _, f := range b.feeders {
			list = append(list, f.device(c))
		}
		if b.panel != nil {
			list = append(list, b.ending(c)...)
		}
	}
	own := b.others[len(b.others)-1]
	currents := terms.Peek(c, own.currents)
	if !own.none {
		currents = terms.Get(c, own.currents)
	}
	return append(list, standardDevices(c, currents)...)
}

// ending are the ratings of the devices of the circuits that end in a panel.
func (b *busMark) ending(c *terms.Call) []float64 {
	var list []float64
	for i := range c.Job().Circuits {
		x := &c.Job().Circuits[i]
		if isDC(c, x) || !terms.Stated(c, x.To) || terms.Peek(c, x.To) != b.panel.Name.Value {
			continue
		}
		terms.Get(c, x.Overcurrent)
		if d, ok := terms.Seek(c, overcurrentKind, x.Overcurrent); ok {
			list = append(list, c.Q(d.Rating))
		}
	}
	if len(list) == 0 && len(b.feeders) == 0 {
		terms.Get(c, b.panel.SourceBreakers)
	}
	return list
}

// standardDevices are the devices that sources get of which the outputs alone
// are known.
func standardDevices(c *terms.Call, outputs []float64) []float64 {
	var list []float64
	code := nec(c)
	for _, x := range outputs {
		if c.Stop() {
			return nil
		}
		s, err := code.StandardOvercurrent(x*named(c, "705.28", "continuous"), electrical.Breaker)
		if err != nil {
			c.Err(err)
		}
		list = append(list, s.Rating)
	}
	return list
}

// sourceDevices are the devices through which the sources reach the point of
// the interconnection; none where the job names none.
func sourceDevices(c *terms.Call) []*job.Overcurrent {
	p := &c.Job().Interconnection
	var list []*job.Overcurrent
	if terms.Stated(c, p.Overcurrents) {
		list = terms.Refs(c, overcurrentKind, p.Overcurrents)
	}
	if d, known := sourceDevice.Try(c, p); known && !slices.Contains(list, d) {
		list = append(list, d)
	}
	return list
}

// sourceRatings are their ratings, which are needed.
func sourceRatings(c *terms.Call) []float64 {
	list := sourceDevices(c)
	if len(list) == 0 {
		sourceDevice.Of(c, &c.Job().Interconnection)
	}
	var ratings []float64
	for _, d := range list {
		ratings = append(ratings, c.Q(d.Rating))
	}
	return ratings
}

// hold holds a busbar against the option relied on. The place of the source
// devices is a check of its own.
func (b *busMark) hold(c *terms.Call) (electrical.Busbar, bool) {
	k := keysOf(c, b)
	if b.first {
		for _, d := range sourceDevices(c) {
			terms.Drive(c, d.Rating)
		}
	}
	in := electrical.BusbarInput{Option: b.option(c, k), Busbar: c.Q(k.busbar), Main: b.supply(c), NoLoads: b.gathers(c)}
	terms.Drive(c, k.busbar)
	rests := in.Option
	if rests == electrical.OptionFeedThrough {
		in.FeedThrough = throughOf(c, k)
		if in.FeedThrough.Overcurrent > 0 && in.FeedThrough.Option != "" {
			rests = in.FeedThrough.Option
		}
		in.Sources = b.outputs(c)
	}
	switch rests {
	case electrical.OptionBreakerSum:
		in.Sources = b.outputs(c)
		if in.SourceBreakers = b.devices(c, k); !in.NoLoads {
			in.LoadBreakers = terms.Get(c, k.loads)
		}
	case electrical.OptionPowerControl:
		in.Limit = c.Q(k.limit)
	default:
		in.Sources = b.outputs(c)
	}
	code := nec(c)
	if c.Stop() {
		return electrical.Busbar{}, false
	}
	held, err := code.Busbar(in)
	return held, took(c, held, held.Refs, err)
}

// throughOf are the feed-through conductors of a busbar; a device that is left
// out is none, which allows less.
func throughOf(c *terms.Call, k keys) *electrical.FeedThrough {
	t := &electrical.FeedThrough{Ampacity: c.Q(k.through), Option: terms.Peek(c, k.throughOption)}
	if terms.Stated(c, k.throughDevice) {
		t.Overcurrent = c.Q(k.throughDevice)
	}
	if terms.Stated(c, k.farther) {
		t.LoadSide = c.Q(k.farther)
	}
	return t
}

// positions are the places that the option lets the source devices stand at;
// none where any will do.
func (b *busMark) positions(c *terms.Call) []string {
	k := keysOf(c, b)
	option := b.option(c, k)
	if option == electrical.OptionFeedThrough && terms.Stated(c, k.throughDevice) && terms.Stated(c, k.throughOption) {
		option = terms.Get(c, k.throughOption)
	}
	code := nec(c)
	if c.Stop() {
		return nil
	}
	list, refs, err := code.BusbarPositions(option)
	if err != nil {
		c.Err(err)
	}
	c.Cite(refs...)
	return list
}

// fits is whether the source devices stand where the option lets them.
func (b *busMark) fits(c *terms.Call) bool {
	list, k := b.positions(c), keysOf(c, b)
	if c.Stop() || len(list) == 0 {
		return true
	}
	terms.Drive(c, k.position)
	return slices.Contains(list, terms.Get(c, k.position))
}

// known is whether the adopted edition has the option.
func (b *busMark) known(c *terms.Call) bool {
	code, option := nec(c), b.option(c, keysOf(c, b))
	if c.Stop() {
		return false
	}
	_, ref, ok := code.BusbarOptionSection(option)
	if ok {
		c.Cite(ref)
	}
	return ok
}

// applies is whether the adopted edition's options reach the equipment.
func (b *busMark) applies(c *terms.Call) bool {
	k := keysOf(c, b)
	if terms.Get(c, k.single) && named(c, "705.12 scope", "several loads only") != 0 {
		return false
	}
	return !b.exempt(c)
}

// exempt is whether the equipment's listing stands in for the options.
func (b *busMark) exempt(c *terms.Call) bool {
	return terms.Get(c, keysOf(c, b).listed) && named(c, "705.12 scope", "listed exempt") != 0
}

// name is how a busbar is called.
func (b *busMark) name() string {
	if b.panel == nil {
		return theService
	}
	return b.panel.Name.Value
}

// key is where it stands in the job.
func (b *busMark) key() string {
	if b.panel == nil {
		return theService
	}
	return job.KeyPath("panel", &b.panel.Entity)
}

// device is the rating of the overcurrent device at the supply end of a feeder.
func (f *feederMark) device(c *terms.Call) float64 {
	p := &c.Job().Interconnection
	switch {
	case f.joined && (f.panel == nil || terms.Stated(c, p.FeederOvercurrent)):
		return c.Q(p.FeederOvercurrent)
	case f.transformer != nil:
		terms.Get(c, f.transformer.Overcurrent)
		if d, ok := terms.Seek(c, overcurrentKind, f.transformer.Overcurrent); ok {
			return c.Q(d.Rating)
		}
		return 0
	}
	if x, ok := terms.Seek(c, circuitKind, f.panel.Feeder); ok && !terms.Stated(c, f.panel.FeederOvercurrent) {
		terms.Get(c, x.Overcurrent)
		if d, ok := terms.Seek(c, overcurrentKind, x.Overcurrent); ok {
			return c.Q(d.Rating)
		}
		return 0
	}
	terms.Drive(c, f.panel.FeederOvercurrent)
	return c.Q(f.panel.FeederOvercurrent)
}

// ampacity is that of a feeder's conductors.
func (f *feederMark) ampacity(c *terms.Call) float64 {
	p := &c.Job().Interconnection
	if f.joined && (f.panel == nil || terms.Stated(c, p.FeederAmpacity)) {
		return c.Q(p.FeederAmpacity)
	}
	var of job.Text
	if f.transformer != nil {
		of = f.transformer.Feeder
		terms.Get(c, of)
	} else {
		of = f.panel.Feeder
	}
	if x, ok := terms.Seek(c, circuitKind, of); ok {
		return circuitUsableAmpacity.Of(c, x)
	}
	if f.panel == nil {
		return 0
	}
	terms.Drive(c, f.panel.FeederAmpacity)
	return c.Q(f.panel.FeederAmpacity)
}

func (f *feederMark) name() string {
	switch {
	case f.panel != nil:
		return f.panel.Name.Value
	case f.transformer != nil:
		return f.transformer.Name.Value
	}
	return "interconnection"
}

func (f *feederMark) key() string {
	switch {
	case f.panel != nil:
		return job.KeyPath("panel", &f.panel.Entity)
	case f.transformer != nil:
		return job.KeyPath("transformer", &f.transformer.Entity)
	}
	return "interconnection"
}

// Busbar is the kind of busbars that current of the sources reaches.
var Busbar = terms.NewKind("busbar", "busbars", "busbars that current of the sources reaches, from the inverters up to the service", func(c *terms.Call, k terms.KindOf[busMark]) []*terms.Subject {
	ch := panelsInChain.Of(c, c.Job())
	if ch == nil {
		return nil
	}
	var list []*terms.Subject
	for _, b := range ch.buses {
		at := c.Job().SectionAt(theService)
		if b.panel != nil {
			at = b.panel.At
		}
		list = append(list, k.Subject(b.name(), b.key(), at, b))
	}
	for _, g := range ch.gaps {
		list = append(list, k.Unknown(g.name, g.key, g.need.At, []terms.Need{g.need}))
	}
	return list
})

// Feeder is the kind of feeders that current of the sources passes.
var Feeder = terms.NewKind("feeder", "feeders", "feeders that current of the sources passes, from the inverters up to the service", func(c *terms.Call, k terms.KindOf[feederMark]) []*terms.Subject {
	ch := panelsInChain.Of(c, c.Job())
	if ch == nil {
		return nil
	}
	var list []*terms.Subject
	for _, f := range ch.feeders {
		at := c.Job().SectionAt("interconnection")
		if f.panel != nil {
			at = f.panel.At
		} else if f.transformer != nil {
			at = f.transformer.At
		}
		list = append(list, k.Subject(f.name(), f.key(), at, f))
	}
	for _, g := range ch.gaps {
		list = append(list, k.Unknown(g.name, g.key, g.need.At, []terms.Need{g.need}))
	}
	return list
})

var _ = terms.Derive(Busbar, "name", terms.Word, "its panel, or service", "the job", "",
	func(c *terms.Call, b *busMark) string { return b.name() })

var _ = terms.Derive(Busbar, "first", terms.YesNo, "whether the interconnection is made at it", "the job", "",
	func(c *terms.Call, b *busMark) bool { return b.first })

var _ = terms.Derive(Busbar, "option", terms.Word, "option that the design relies on; of a panel without loads that names none, the sum of its devices", "the job", "",
	func(c *terms.Call, b *busMark) string { return b.option(c, keysOf(c, b)) })

var _ = terms.Derive(Busbar, "option_said", terms.YesNo, "whether an option is known to be relied on", "the job", "",
	func(c *terms.Call, b *busMark) bool { return b.gathers(c) || terms.Stated(c, keysOf(c, b).option) })

var _ = terms.Derive(Busbar, "option_known", terms.YesNo, "whether the adopted edition has that option", "NEC 705.12", "busbar",
	func(c *terms.Call, b *busMark) bool { return b.known(c) })

var _ = terms.Derive(Busbar, "applies", terms.YesNo, "whether the adopted edition's options reach the equipment", "NEC 705.12", "busbar",
	func(c *terms.Call, b *busMark) bool { return b.applies(c) })

var _ = terms.Derive(Busbar, "exempt", terms.YesNo, "whether a listing for combining sources and loads stands in for the options", "NEC 705.12", "busbar",
	func(c *terms.Call, b *busMark) bool { return b.exempt(c) })

var _ = terms.Derive(Busbar, "rating", terms.Quantity(quantity.Current), "rating of the busbar", "the job", "",
	func(c *terms.Call, b *busMark) float64 { return b.rating(c) })

var _ = terms.Derive(Busbar, "supply_rating", terms.Quantity(quantity.Current), "rating of the device that supplies it: its main, or that of its feeder where it has main lugs only", "the job", "",
	func(c *terms.Call, b *busMark) float64 { return b.supply(c) })

var _ = terms.Derive(Busbar, "required", terms.Quantity(quantity.Current), "current that it has to carry by the option relied on, with all sources that reach it", "NEC 705.12", "busbar",
	func(c *terms.Call, b *busMark) float64 {
		held, ok := b.hold(c)
		if !ok {
			return 0
		}
		return held.Required
	})

var _ = terms.Derive(Busbar, "allowed", terms.Quantity(quantity.Current), "current that it may carry by the option relied on", "NEC 705.12", "busbar",
	func(c *terms.Call, b *busMark) float64 {
		held, ok := b.hold(c)
		if !ok {
			return 0
		}
		return held.Allowed
	})

var _ = terms.Derive(Busbar, "position_matters", terms.YesNo, "whether the option asks where the source devices stand", "NEC 705.12", "busbar",
	func(c *terms.Call, b *busMark) bool { return len(b.positions(c)) > 0 })

var _ = terms.Derive(Busbar, "position_fits", terms.YesNo, "whether the source devices stand where the option lets them", "NEC 705.12", "busbar",
	func(c *terms.Call, b *busMark) bool { return b.fits(c) })

var _ = terms.Derive(Busbar, "feed_through_ampacity", terms.Quantity(quantity.Current), "ampacity of its feed-through conductors", "the job", "",
	func(c *terms.Call, b *busMark) float64 {
		k := keysOf(c, b)
		terms.Drive(c, k.through)
		return c.Q(k.through)
	})

var _ = terms.Derive(Busbar, "feed_through_required", terms.Quantity(quantity.Current), "ampacity that its feed-through conductors need, as a feeder with the sources on it", "NEC 705.12", "busbar",
	func(c *terms.Call, b *busMark) float64 {
		held, ok := b.hold(c)
		if !ok {
			return 0
		}
		if held.Conductors == 0 {
			c.Fail("the design relies on another option than feed-through conductors")
		}
		return held.Conductors
	})

var _ = terms.Derive(Busbar, "power_control_listed", terms.YesNo, "whether the power control system that holds it is listed", "the job", "",
	func(c *terms.Call, b *busMark) bool { return terms.Get(c, keysOf(c, b).controlled) })

var _ = terms.Derive(Feeder, "name", terms.Word, "the panel or transformer that it supplies", "the job", "",
	func(c *terms.Call, f *feederMark) string { return f.name() })

var _ = terms.Derive(Feeder, "ampacity", terms.Quantity(quantity.Current), "ampacity of its conductors", "the job", "ampacity",
	func(c *terms.Call, f *feederMark) float64 { return f.ampacity(c) })

var _ = terms.Derive(Feeder, "overcurrent", terms.Quantity(quantity.Current), "rating of the overcurrent device at its supply end", "the job", "",
	func(c *terms.Call, f *feederMark) float64 { return f.device(c) })

var _ = terms.Derive(Feeder, "required", terms.Quantity(quantity.Current), "ampacity that it needs for all sources below it, raised for continuous duty", "NEC 705.12, 705.28", "feeder-connection",
	func(c *terms.Call, f *feederMark) float64 {
		sum := f.required(c)
		if c.Stop() {
			return 0
		}
		line(c, "all sources below, raised for continuous duty: %.4g A", sum)
		return sum
	})
