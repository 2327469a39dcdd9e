package paper

import (
	"flag"

	"example.com/steelyard/examples/internal/cli"
	"example.com/steelyard/units"
)

// Options are what a program with sheets was asked for.
type Options struct {
	// File is the name of the file, empty for the demo, whose contents are Data.
	File string
	Data []byte
	// Form is what to write, Currency what stands behind amounts.
	Form, Currency string
	Words          Words
	Size           Size
	Papers         *Papers
	language       string
	system         units.System
	size           string
	papers         string
}

// define defines the flags.
func (o *Options) define(f *flag.FlagSet) {
	f.StringVar(&o.language, "lang", "en", "the language: en or de")
	f.TextVar(&o.system, "units", units.Metric, "metric, usCustomary or imperial")
	f.StringVar(&o.size, "paper", "", "A4 or letter; without it letter with -units usCustomary, else A4")
	f.StringVar(&o.papers, "papers", "", "shop, serial numbers, date and dates to look again as a JSON `file`")
}

// finish reads what the flags name; demo stands in where nothing is named and may be nil.
func (o *Options) finish(demo func() (*Papers, error)) (err error) {
	var ok bool
	if o.Words, ok = Speak(o.language, o.system); !ok {
		return cli.Usagef("-lang %s: must be en or de", o.language)
	}
	switch o.size {
	case "":
		o.Size = A4
		if o.system == units.USCustomary {
			o.Size = Letter
		}
	case string(A4), string(Letter):
		o.Size = Size(o.size)
	default:
		return cli.Usagef("-paper %s: must be A4 or letter", o.size)
	}
	switch {
	case o.papers != "":
		o.Papers, err = ReadPapers(o.papers)
	case demo != nil:
		o.Papers, err = demo()
	default:
		o.Papers = &Papers{Version: 1}
	}
	return err
}
