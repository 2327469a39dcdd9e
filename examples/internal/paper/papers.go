package paper

import (
	"bytes"
	"fmt"
	"os"
	"path/filepath"
	"time"

	"example.com/steelyard/ballast"
	"example.com/steelyard/examples/internal/cli"
	"example.com/steelyard/examples/internal/visible"
	"example.com/steelyard/units"
)

// Papers is what a shop writes on a sheet beside the figures. Whatever is left out is a line to
// write on.
type Papers struct {
	// Version is the version of the file format, 1.
	Version int `json:"version"`
	// Shop is whose sheet it is.
	Shop Shop `json:"shop,omitzero"`
	// Customer is whom it is for.
	Customer string `json:"customer,omitempty"`
	// MachineSerial is the serial number on the machine's plate.
	MachineSerial string `json:"machineSerial,omitempty"`
	// LoaderSerial is that on the loader's.
	LoaderSerial string `json:"loaderSerial,omitempty"`
	// AttachmentSerial is that on the attachment's.
	AttachmentSerial string `json:"attachmentSerial,omitempty"`
	// Date is the day of the sheet, as 2026-09-14.
	Date string `json:"date,omitempty"`
	// Signatures are the names of who signs, at most 4.
	Signatures []string `json:"signatures,omitempty"`
	// Rechecks are what is looked at again and when, at most 20.
	Rechecks []Recheck `json:"rechecks,omitempty"`
	// FrontPressure and RearPressure are the cold tire pressures on the day.
	FrontPressure units.GaugePressure `json:"frontPressure,omitempty"`
	RearPressure  units.GaugePressure `json:"rearPressure,omitempty"`

	logo     []byte
	logoType string
}

// Shop is the header of a sheet.
type Shop struct {
	Name string `json:"name,omitempty"`
	// Lines are address, telephone and the like, at most 6.
	Lines []string `json:"lines,omitempty"`
	// Logo is the name of a PNG or JPEG file beside the file of the papers, at most 200 kB.
	Logo string `json:"logo,omitempty"`
}

// Recheck is something that is looked at again.
type Recheck struct {
	What string `json:"what"`
	By   string `json:"by,omitempty"`
}

// Validate reports every bad field by its path.
func (p *Papers) Validate() error {
	var e units.FieldErrors
	if p.Version != 1 {
		e.Add("version", p.Version, "must be 1")
	}
	day := func(path, s string) {
		if s == "" {
			return
		}
		if _, err := time.Parse(time.DateOnly, s); err != nil {
			e.Add(path, s, "must be a day such as 2026-09-14")
		}
	}
	day("date", p.Date)
	if len(p.Signatures) > 4 {
		e.Add("signatures", len(p.Signatures), "must have at most 4 entries")
	}
	if len(p.Shop.Lines) > 6 {
		e.Add("shop.lines", len(p.Shop.Lines), "must have at most 6 entries")
	}
	if len(p.Rechecks) > 20 {
		e.Add("rechecks", len(p.Rechecks), "must have at most 20 entries")
	}
	for i, r := range p.Rechecks {
		day(units.Index("rechecks", i)+".by", r.By)
	}
	for _, x := range []struct {
		path string
		is   units.GaugePressure
	}{{"frontPressure", p.FrontPressure}, {"rearPressure", p.RearPressure}} {
		if x.is != 0 && !(x.is >= 10*units.GaugeKilopascal && x.is <= 1000*units.GaugeKilopascal) {
			e.Add(x.path, x.is, "must be from 10 kPa gauge to 1000 kPa gauge")
		}
	}
	return e.Err()
}

const (
	maxPapers = 1 << 16
	maxLogo   = 200 << 10
)

// ReadPapers reads the file of the papers and the logo that stands beside it.
func ReadPapers(name string) (*Papers, error) {
	data, err := cli.ReadFile(name, maxPapers)
	if err != nil {
		return nil, err
	}
	return DecodePapers(data, func(logo string) ([]byte, error) {
		info, err := os.Stat(filepath.Join(filepath.Dir(name), logo))
		if err != nil {
			return nil, cli.Usage(cli.Plain(err))
		}
		if !info.Mode().IsRegular() {
			return nil, cli.Usagef("%s: must be a file", logo)
		}
		return cli.ReadFile(filepath.Join(filepath.Dir(name), logo), maxLogo)
	})
}

// DecodePapers reads papers strictly; open reads the logo, whose name has no folder.
func DecodePapers(data []byte, open func(string) ([]byte, error)) (*Papers, error) {
	var p Papers
	if err := ballast.DecodeInto(bytes.NewReader(data), &p); err != nil {
		return nil, cli.Usage(err)
	}
	if logo := p.Shop.Logo; logo != "" {
		if logo != filepath.Base(logo) || logo == ".." {
			return nil, cli.Usage(units.NewFieldError("shop.logo", logo, "must be the name of a file beside this one"))
		}
		var err error
		if p.logo, err = open(logo); err != nil {
			return nil, fmt.Errorf("shop.logo: %w", err)
		}
		switch {
		case bytes.HasPrefix(p.logo, []byte("\x89PNG\r\n\x1a\n")):
			p.logoType = "image/png"
		case bytes.HasPrefix(p.logo, []byte("\xff\xd8\xff")):
			p.logoType = "image/jpeg"
		default:
			return nil, cli.Usage(units.NewFieldError("shop.logo", logo, "must be a PNG or JPEG file"))
		}
	}
	visible.Strings(&p)
	return &p, nil
}

// Head is the header of the shop for plain text.
func (p *Papers) Head() []Block {
	if p == nil || p.Shop.Name == "" {
		return nil
	}
	return []Block{textOnly{append([]string{p.Shop.Name}, p.Shop.Lines...)}}
}

// textOnly stands in plain text only.
type textOnly struct{ lines []string }

func (x textOnly) text(t *textWriter) {
	for _, l := range x.lines {
		t.line(safe(l))
	}
}

func (textOnly) html(*htmlWriter) {}
