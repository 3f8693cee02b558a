package circuits

import (
	"math"

	"plumbrule/internal/electrical"
	"plumbrule/internal/job"
	"plumbrule/internal/quantity"
	"plumbrule/internal/terms"
)

var _ = terms.Derive(interconnectionKind, "neutral_smallest", terms.WireSize, "smallest grounded conductor of the supply-side connection", "NEC 250.24(C), Table 250.102(C)(1)", "bonding-jumper",
	func(c *terms.Call, p *job.Interconnection) quantity.Size {
		terms.Drive(c, p.Neutral)
		of := electrical.Material(terms.Get(c, p.Material))
		ungrounded := terms.Get(c, p.Conductor)
		// No grounded conductor need be larger than the ungrounded ones.
		return min(ungrounded, bonding(c, electrical.BondingInput{Ungrounded: ungrounded, Of: of, Sets: terms.Get(c, p.Sets), Apart: terms.Get(c, p.SetsApart), Material: of}))
	})

var _ = terms.Derive(interconnectionKind, "supply_ampacity", terms.Quantity(quantity.Current), "ampacity of the supply-side conductors in the column of large unmarked terminals, all sets together", "NEC 310.16, 110.14(C)", "ampacity",
	func(c *terms.Call, p *job.Interconnection) float64 {
		terms.Drive(c, p.Conductor)
		size, material, sets, code := terms.Get(c, p.Conductor), terms.Get(c, p.Material), terms.Get(c, p.Sets), nec(c)
		if c.Stop() {
			return 0
		}
		a, refs, err := code.SupplyAmpacity(size, electrical.Material(material))
		if err != nil {
			c.Err(err)
		}
		c.Cite(refs...)
		return a * float64(sets)
	})

var _ = terms.Derive(interconnectionKind, "service_least", terms.Quantity(quantity.Current), "least rating of a service disconnect and its conductors besides those of a single circuit", "NEC 230.79(D), 230.42(B)", "",
	func(c *terms.Call, p *job.Interconnection) float64 { return named(c, "230.79", "least rating") })

var _ = terms.Derive(interconnectionKind, "disconnect_rating", terms.Quantity(quantity.Current), "smallest rating of the switches of the photovoltaic system", "the job", "",
	func(c *terms.Call, p *job.Interconnection) float64 {
		least := math.Inf(1)
		for n := range c.Job().Disconnects {
			if d := &c.Job().Disconnects[n]; terms.Get(c, d.Purpose) == "pv-system" {
				terms.Drive(c, d.Rating)
				least = min(least, c.Q(d.Rating))
			}
		}
		if math.IsInf(least, 1) && !c.Stop() {
			c.Fail("the job names no switch of the photovoltaic system")
		}
		return least
	})

var _ = terms.Derive(interconnectionKind, "needs_ground_fault_protection", terms.YesNo, "whether the rating and the voltage to ground ask for ground-fault protection of equipment: of the sources' device ahead of the service disconnect, and of the service's main otherwise", "NEC 230.95, 705.11(F) in 2023, 705.32", "",
	func(c *terms.Call, p *job.Interconnection) bool {
		s := &c.Job().Service
		if system := terms.Get(c, s.System); c.Stop() || system != string(electrical.ThreePhase) {
			return false
		}
		if c.Q(s.Voltage)/math.Sqrt(3) <= named(c, "230.79", "ground-fault voltage") {
			return false
		}
		rating := 0.0
		if terms.Get(c, p.Kind) == "supply-side" {
			for _, x := range sourceRatings(c) {
				rating = max(rating, x)
			}
		} else {
			rating = c.Q(s.Main)
		}
		return rating >= named(c, "230.79", "ground-fault rating")
	})

var _ = terms.Derive(serviceKind, "most_disconnects", terms.WholeNumber, "most service disconnects of one service", "NEC 230.71", "",
	func(c *terms.Call, s *job.Service) int { return int(named(c, "230.79", "most disconnects")) })

var inverterSettingCounts = terms.Derive(inverterKind, "setting_counts", terms.YesNo, "whether the setting of its output counts instead of its rated output: by the adopted edition, as part of a listed power control system, out of reach of others than qualified persons", "NEC 705.13", "",
	func(c *terms.Call, i *job.Inverter) bool {
		terms.Drive(c, i.OutputSetting)
		return terms.Stated(c, i.OutputSetting) && named(c, "705.13", "setting counts") != 0 && terms.Get(c, i.SettingListed) && terms.Get(c, i.SettingLocked)
	})

// limited is an output by the setting of an inverter, where that counts. Where
// it is not known whether it does, the rated output stands, which is more.
func limited(c *terms.Call, i *job.Inverter, o dcCurrent) dcCurrent {
	if !terms.Stated(c, i.OutputSetting) {
		return o
	}
	t := typeOf(c, i)
	counts, known := inverterSettingCounts.Try(c, i)
	if t == nil || !known || !counts {
		return o
	}
	share := min(1, c.Q(i.OutputSetting)/c.Q(t.OutputCurrent))
	o.maximum, o.required, o.exact, o.at = o.maximum*share, o.required*share, o.exact*share, i.OutputSetting
	rated, limit := o.work, c.Q(i.OutputSetting)
	o.work = func(sys quantity.System) []string {
		var lines []string
		if rated != nil {
			lines = rated(sys)
		}
		return append(lines, "held by its setting to "+ampere(limit, sys)+" each: "+ampere(o.maximum, sys)+", required ampacity "+ampere(o.required, sys))
	}
	return o
}

var _ = terms.Derive(interconnectionKind, "panel_busbar", terms.Quantity(quantity.Current), "busbar rating that its panel states", "the job", "",
	func(c *terms.Call, p *job.Interconnection) float64 {
		of, _ := ofPanel(c, p)
		return c.Q(of)
	})

var _ = terms.Derive(interconnectionKind, "panel_states_busbar", terms.YesNo, "whether both it and its panel state the rating of the busbar", "the job", "",
	func(c *terms.Call, p *job.Interconnection) bool {
		of, _ := ofPanel(c, p)
		return terms.Stated(c, p.Panel) && terms.Stated(c, p.Busbar) && terms.Stated(c, of)
	})

var _ = terms.Derive(interconnectionKind, "panel_main", terms.Quantity(quantity.Current), "main that its panel states", "the job", "",
	func(c *terms.Call, p *job.Interconnection) float64 {
		_, of := ofPanel(c, p)
		return c.Q(of)
	})

var _ = terms.Derive(interconnectionKind, "panel_states_main", terms.YesNo, "whether both it and its panel state the main", "the job", "",
	func(c *terms.Call, p *job.Interconnection) bool {
		_, of := ofPanel(c, p)
		return terms.Stated(c, p.Panel) && terms.Stated(c, p.Main) && terms.Stated(c, of)
	})

// ofPanel are the busbar and the main of the panel that the interconnection
// names, those of the service where it names none.
func ofPanel(c *terms.Call, p *job.Interconnection) (busbar, main job.Quantity) {
	if at, ok := terms.Seek(c, panelKind, p.Panel); ok {
		return at.Busbar, at.Main
	}
	return c.Job().Service.Busbar, c.Job().Service.Main
}
