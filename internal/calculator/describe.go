package calculator

// Description is a calculator as data: what it takes and what it gives.
type Description struct {
	Calculator string              `json:"calculator"`
	Gives      string              `json:"gives"`
	Source     string              `json:"source"`
	Inputs     []InputDescription  `json:"inputs,omitempty"`
	Results    []OutputDescription `json:"results,omitempty"`
	Example    []string            `json:"example,omitempty"`
}

// InputDescription is one input. Least and most bound what it may be; taken as
// is what an optional input is taken as when it is left out.
type InputDescription struct {
	Name      string   `json:"name"`
	Meaning   string   `json:"meaning"`
	Dimension string   `json:"dimension,omitempty"`
	Example   string   `json:"example,omitempty"`
	Words     []string `json:"words,omitempty"`
	List      bool     `json:"list,omitempty"`
	Optional  bool     `json:"optional"`
	TakenAs   string   `json:"taken_as,omitempty"`
	Least     string   `json:"least,omitempty"`
	Most      string   `json:"most,omitempty"`
}

// OutputDescription is one result with the unit its number is given in.
type OutputDescription struct {
	Name    string `json:"name"`
	Meaning string `json:"meaning"`
	Unit    string `json:"unit,omitempty"`
}

// Description gives a calculator as data.
func (c *Calculator) Description() Description {
	d := Description{Calculator: c.Name, Gives: c.Gives, Source: c.Source, Example: c.Example}
	for _, in := range c.Inputs {
		i := InputDescription{Name: in.Name, Meaning: in.Meaning, Words: in.Choices, List: in.List, Optional: in.Optional,
			Least: in.Least, Most: in.Most}
		if in.Optional {
			i.TakenAs = in.TakenAs()
		}
		if in.Kind == Quantity {
			i.Dimension, i.Example = in.Dim.String(), in.Dim.Example()
		}
		d.Inputs = append(d.Inputs, i)
	}
	for _, o := range c.Outputs {
		d.Results = append(d.Results, OutputDescription(o))
	}
	return d
}

// Brief gives the list of calculators as data.
func Brief(all []*Calculator) []Description {
	var list []Description
	for _, c := range all {
		list = append(list, Description{Calculator: c.Name, Gives: c.Gives, Source: c.Source})
	}
	return list
}
