package port

import (
	"os"
	"sort"
)

// Listed is one serial port of this machine. The USB words come from the device and are hostile.
type Listed struct {
	Name    string
	Product string // USB product, where the system tells it
	Serial  string // USB serial number
	USB     string // "1a2b:3c4d", vendor and product id
	May     bool   // this user may open it
	Group   string // the group that may, where the system tells it
}

// List finds the serial ports.
func List() ([]Listed, error) {
	l, err := list()
	if err != nil {
		return nil, wrap("listing", "serial ports", err)
	}
	for i := range l {
		l[i].Group = groupOf(l[i].Name)
		l[i].May = mayOpen(l[i].Name)
	}
	sort.Slice(l, func(i, j int) bool { return l[i].Name < l[j].Name })
	return l, nil
}

// NamesUSB tells whether this system gives the USB names of ports.
func NamesUSB() bool { return namesUSB }

// mayOpen looks at the rights only: opening would pulse the control lines.
func mayOpen(name string) bool {
	fi, err := os.Stat(name)
	return err != nil || mayAccess(name, fi)
}
