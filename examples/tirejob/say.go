package main

import (
	"encoding/csv"
	"io"
	"slices"
	"strconv"
	"strings"

	"example.com/steelyard/examples/draw"
	"example.com/steelyard/examples/internal/paper"
	"example.com/steelyard/examples/internal/visible"
	"example.com/steelyard/liquid"
	"example.com/steelyard/units"
)

// A speaker says jobs in a language.
type speaker struct {
	paper.Words
	papers   *paper.Papers
	jobs     []job
	currency string
}

// money is an amount, rounded up: it is what must be paid.
func (p *speaker) money(v float64) string {
	s := round(v-1e-9, 2, 1)
	if p.Display.Comma {
		s = strings.Replace(s, ".", ",", 1)
	}
	return strings.TrimSuffix(s+"\u00a0"+p.currency, "\u00a0")
}

func (p *speaker) volume(v units.Volume) string { return units.Format(p.Display, v) }

// where is what the job is about.
func (p *speaker) where(j *job) string {
	var parts []string
	for _, s := range []string{j.machine, j.wheel} {
		if s != "" {
			parts = append(parts, paper.Own(s))
		}
	}
	if len(parts) == 0 {
		parts = []string{p.T("tire.row", "row", strconv.Itoa(j.row))}
	}
	return visible.Text(strings.Join(parts, ", "))
}

// sheet says all jobs: first what they come to, then a page for each.
func (p *speaker) sheet() *paper.Sheet {
	out := &paper.Sheet{Title: p.T("tire.title")}
	out.Add(p.papers.Head()...)
	out.Add(paper.Fields{List: [][2]string{{p.T("paper.customer"), p.papers.Customer}, {p.T("paper.date"), p.papers.Date}}})
	out.Add(paper.Heading{Text: p.T("tire.h.all"), Level: 2}, p.summary())
	for _, l := range p.totals() {
		out.Add(paper.Paragraph{Text: l})
	}
	for i := range p.jobs {
		out.Add(paper.Break{})
		out.Add(p.one(&p.jobs[i])...)
	}
	var notes []units.Remark
	for i := range p.jobs {
		notes = append(notes, p.jobs[i].notes()...)
	}
	if len(notes) > 0 {
		out.Add(paper.Heading{Text: p.T("hand.h.notes"), Level: 2}, paper.List{Points: p.Say(units.SortRemarks(notes))})
	}
	return out
}

// summary is a line for each job.
func (p *speaker) summary() paper.Table {
	t := paper.Table{Head: []string{p.T("col.job"), p.T("tire.col.tires"), p.T("tire.col.fluid"), p.T("tire.col.volume"), p.T("tire.col.mass"), p.T("tire.col.cost")}}
	for i := range p.jobs {
		j := &p.jobs[i]
		action := p.T("tire.fill")
		if j.remove {
			action = p.T("tire.remove")
		}
		row := []string{action + ": " + p.where(j), strconv.Itoa(j.count) + " × " + visible.Text(j.tire), "", "", "", ""}
		if j.problem != nil {
			row[2] = p.T("tire.problem")
		} else {
			row[2], row[3], row[4] = p.Fluid(j.fill.Fluid), p.volume(j.filled.Volume), p.Mass(j.filled.Mass)
			if c, ok := j.cost(); ok {
				row[5] = p.money(c)
			}
		}
		t.Rows = append(t.Rows, row)
	}
	return t
}

// totals are mass and cost by machine.
func (p *speaker) totals() (out []string) {
	var machines []string
	for i := range p.jobs {
		if m := p.jobs[i].machine; !slices.Contains(machines, m) {
			machines = append(machines, m)
		}
	}
	for _, m := range machines {
		var added, removed units.Mass
		cost, priced, all := 0.0, false, true
		for i := range p.jobs {
			j := &p.jobs[i]
			if j.machine != m {
				continue
			}
			if j.problem != nil {
				all = false
				continue
			}
			if j.remove {
				removed += units.Mass(j.count) * j.filled.Mass
				continue
			}
			added += units.Mass(j.count) * j.filled.Mass
			if c, ok := j.cost(); ok {
				cost, priced = cost+float64(j.count)*c, true
			} else if j.fill.Fluid.Kind != liquid.Water {
				all = false
			}
		}
		line := p.T("tire.total", "machine", or(visible.Text(m), p.T("unnamed.machine")), "added", p.Mass(added))
		if removed > 0 {
			line += " " + p.T("tire.total.removed", "removed", p.Mass(removed))
		}
		if priced {
			line += " " + p.T("tire.total.cost", "cost", p.money(cost))
		}
		if !all {
			line += " " + p.T("tire.total.open")
		}
		out = append(out, line)
	}
	return out
}

func or(s, instead string) string {
	if s == "" {
		return instead
	}
	return s
}

// one is the page of a job.
func (p *speaker) one(j *job) []paper.Block {
	title := p.T("tire.fill")
	if j.remove {
		title = p.T("tire.remove")
	}
	blocks := []paper.Block{paper.Heading{Text: title + ": " + p.where(j), Level: 2}}
	if j.problem != nil {
		box := paper.Box{Title: p.T("tire.problem")}
		for _, f := range units.Fields(j.problem) {
			line := p.T("tire.problem.line", "column", f.Path, "want", p.Want(f))
			if f.Value != "" {
				line = p.T("tire.problem.value", "column", f.Path, "value", f.Value, "want", p.Want(f))
			}
			box.Lines = append(box.Lines, line)
		}
		return append(blocks, box)
	}
	f := &j.filled
	d := p.Display
	fields := [][2]string{
		{p.T("tire.tire"), j.fill.Tire.Designation.String()},
		{p.T("tire.col.tires"), strconv.Itoa(j.count)},
		{p.T("tire.col.fluid"), p.Fluid(j.fill.Fluid)},
		{p.T("tire.level"), p.Level(j.fill.Level, *f)},
		{p.T("tire.volume.each"), p.T("tire.band", "is", p.volume(f.Volume), "low", units.Format(p.Down(), f.VolumeBand.Low), "high", units.Format(p.Up(), f.VolumeBand.High))},
		{p.T("tire.mass.each"), p.T("tire.band", "is", p.Mass(f.Mass), "low", p.Most(f.MassBand.Low), "high", p.Least(f.MassBand.High))},
		{p.T("tire.mass.all"), p.Mass(units.Mass(j.count) * f.Mass)},
		{p.T("tire.freezing"), p.Freezes(*f)},
	}
	if c, ok := j.cost(); ok {
		fields = append(fields, [2]string{p.T("tire.cost.each"), p.money(c)}, [2]string{p.T("tire.cost.all"), p.money(float64(j.count) * c)})
	}
	blocks = append(blocks, paper.Fields{List: fields})
	if f.Notes.Has(liquid.NoteLevelClamped) {
		blocks = append(blocks, paper.Box{Title: p.T("clamped") + "."})
	}
	if j.frost() && !j.remove {
		cold := d
		cold.Precision = units.Decimals(0)
		blocks = append(blocks, paper.Box{Title: p.T("tire.frost", "coldest", units.Format(cold, j.coldest))})
	}
	if j.remove {
		blocks = append(blocks, paper.Box{Title: p.T("tire.lighter", "mass", p.Mass(units.Mass(j.count)*f.Mass))})
	}

	if svg, err := (draw.Tire{Title: p.where(j), Fill: j.fill, Valve: p.T("tire.valve")}).SVG(); err == nil {
		blocks = append(blocks, paper.Figure{Beside: true, SVG: svg, Title: p.T("tire.picture"), Lines: []string{p.T("tire.picture.line", "level", p.Level(j.fill.Level, *f))}})
	}

	blocks = append(blocks, paper.Heading{Text: p.T("tire.h.heed"), Level: 3}, paper.List{Points: p.Say(p.ranked(j))})

	if m := j.mixture; m != nil {
		blocks = append(blocks, paper.Heading{Text: p.T("tire.h.mix"), Level: 3},
			paper.Paragraph{Text: p.T("tire.mix", "water", p.volume(m.Water), "product", p.Mass(m.Product), "fluid", p.T("fluid."+m.Fluid.Kind.String()), "purity", p.Percent(j.purity), "volume", p.volume(m.Volume))},
			paper.Paragraph{Text: p.T("tire.mix.ready", "high", units.Format(p.Up(), f.VolumeBand.High))})
	} else if j.fill.Fluid.Kind.IsSolution() && !j.remove {
		blocks = append(blocks, paper.Heading{Text: p.T("tire.h.mix"), Level: 3}, paper.Paragraph{Text: p.T("tire.mix.unknown")})
	}

	blocks = append(blocks, paper.Heading{Text: p.T("tire.h.pressure"), Level: 3})
	switch {
	case j.inflated != nil:
		blocks = append(blocks, paper.Paragraph{Text: p.T("tire.pressure", "pressure", p.Pressure(j.pressure), "reading", p.Pressure(j.inflated.Reading))})
		if j.inflated.Stiffening > 0 {
			blocks = append(blocks, paper.Paragraph{Text: p.T("tire.stiffer", "times", p.Number(j.inflated.Stiffening))})
		}
	case j.pressure != 0:
		blocks = append(blocks, paper.Paragraph{Text: p.T("tire.pressure.air", "pressure", p.Pressure(j.pressure))})
	default:
		blocks = append(blocks, paper.Paragraph{Text: p.T("tire.pressure.unknown")})
	}

	blocks = append(blocks, paper.Heading{Text: p.T("tire.h.steps"), Level: 3}, paper.Steps{Points: p.steps(j)})
	return append(blocks, paper.Together{List: []paper.Block{p.label(j),
		paper.Fields{List: [][2]string{{p.T("tire.done.volume"), ""}, {p.T("tire.done.pressure"), ""}}},
		paper.Signatures{For: []string{p.T("tire.done")}}}})
}

// ranked are the cautions of a job in their order; none is left out.
func (p *speaker) ranked(j *job) []units.Remark {
	list := j.cautions()
	if j.remove {
		list = append(list, paper.Remark("yard.tip"), paper.Remark("yard.void"), paper.Remark("yard.catch"))
	} else {
		list = append(list, paper.Remark("yard.checkagain"))
	}
	return units.SortRemarks(list)
}

// steps are the steps of the work.
func (p *speaker) steps(j *job) []string {
	var out []string
	if j.remove {
		for _, code := range []string{"step.manual", "remove.park", "remove.air", "remove.out", "remove.rest", "remove.rinse", "remove.inflate", "remove.label"} {
			out = append(out, p.T(code, "volume", units.Format(p.Up(), j.filled.VolumeBand.High)))
		}
		return out
	}
	for _, s := range j.fill.Steps() {
		out = append(out, p.Text(s.Code))
	}
	return out
}

// label is what is fixed to the wheel.
func (p *speaker) label(j *job) paper.Block {
	f := &j.filled
	if j.remove {
		return paper.Label{Title: p.T("label.removed"), Lines: []string{p.T("label.removed.line", "fluid", p.Fluid(j.fill.Fluid)), p.T("label.date", "date", or(p.papers.Date, "____________"))}}
	}
	lines := []string{
		p.Fluid(j.fill.Fluid),
		p.T("label.much", "volume", p.volume(f.Volume), "mass", p.Mass(f.Mass)),
		first(p.Freezes(*f)) + ".",
	}
	lines = append(lines, p.Say(f.Traits.Remarks())...)
	lines = append(lines, p.T("label.date", "date", or(p.papers.Date, "____________")))
	if f.Flows() {
		lines = append(lines, p.T("label.open"))
	}
	return paper.Label{Title: p.T("label.title"), Lines: lines}
}

// first is a text with a capital first letter.
func first(s string) string {
	r := []rune(s)
	if len(r) == 0 {
		return s
	}
	return strings.ToUpper(string(r[0])) + string(r[1:])
}

// table writes the jobs as CSV for a spreadsheet. Its column names are English whatever the
// language, so that programs can read it.
func (p *speaker) table(out io.Writer) error {
	w := csv.NewWriter(out)
	liter, kilogram, kPa, vol, mass, pressure, temperature := units.Liter, units.Kilogram, units.GaugeKilopascal, "L", "kg", "kPa", "C"
	switch p.Display.System {
	case units.USCustomary:
		liter, kilogram, kPa, vol, mass, pressure, temperature = units.USGallon, units.Pound, units.GaugePSI, "US gal", "lb", "psi", "F"
	case units.Imperial:
		liter, kilogram, kPa, vol, mass, pressure = units.ImperialGallon, units.Pound, units.GaugePSI, "imp gal", "lb", "psi"
	}
	if err := w.Write([]string{"row", "machine", "wheel", "tire", "count", "action", "fluid", "strength %", "valve at", "volume " + vol, "volume low " + vol, "volume high " + vol,
		"mass " + mass, "mass low " + mass, "mass high " + mass, "mass all " + mass, "freezes at most " + temperature, "may freeze", "product " + mass, "water " + vol,
		"gauge at 12 " + pressure, "cost", "cost all", "notes", "cautions", "problem"}); err != nil {
		return err
	}
	for i := range p.jobs {
		j := &p.jobs[i]
		user := func(s string) string { return visible.Cell(visible.Text(s)) }
		row := []string{strconv.Itoa(j.row), user(j.machine), user(j.wheel), user(j.tire), strconv.Itoa(j.count), "fill"}
		if j.remove {
			row[5] = "remove"
		}
		if j.problem != nil {
			row = append(row, make([]string, 19)...)
			row = append(row, user(strings.ReplaceAll(j.problem.Error(), "\n", "; ")))
			if err := w.Write(row); err != nil {
				return err
			}
			continue
		}
		f := &j.filled
		strength, clock, freezing, frost, product, water, reading, cost, all := "", "", "", "no", "", "", "", "", ""
		if j.fill.Fluid.Strength > 0 {
			strength = round(100*float64(j.fill.Fluid.Strength), 1, 0)
		}
		if j.fill.Level.Clock != 0 {
			clock = strconv.FormatFloat(j.fill.Level.Clock, 'g', -1, 64)
		}
		if f.Freezing != 0 {
			c := float64(f.FreezingBand.High) - 273.15
			if temperature == "F" {
				c = c*9/5 + 32
			}
			freezing = round(c, 1, 1)
		}
		switch {
		case j.coldest == 0:
			frost = ""
		case j.frost():
			frost = "yes"
		}
		if m := j.mixture; m != nil {
			product, water = round(float64(m.Product/kilogram), 1, 0), round(float64(m.Water/liter), 1, 0)
		}
		if j.inflated != nil {
			reading = round(float64(j.inflated.Reading/kPa), 1, 0)
		}
		if c, ok := j.cost(); ok {
			cost, all = round(c-1e-9, 2, 1), round(float64(j.count)*c-1e-9, 2, 1)
		}
		row = append(row, j.fill.Fluid.Kind.String(), strength, clock,
			round(float64(f.Volume/liter), 1, 0), round(float64(f.VolumeBand.Low/liter), 1, -1), round(float64(f.VolumeBand.High/liter), 1, 1),
			round(float64(f.Mass/kilogram), 1, 0), round(float64(f.MassBand.Low/kilogram), 1, -1), round(float64(f.MassBand.High/kilogram), 1, 1),
			round(float64(units.Mass(j.count)*f.Mass/kilogram), 1, 0), freezing, frost, product, water, reading, cost, all, codes(j.notes()), codes(p.ranked(j)), "")
		if err := w.Write(row); err != nil {
			return err
		}
	}
	w.Flush()
	return w.Error()
}

// codes are the codes of remarks, in one cell.
func codes(list []units.Remark) string {
	var out []string
	for _, r := range list {
		out = append(out, r.Code)
	}
	return strings.Join(out, " ")
}
