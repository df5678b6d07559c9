package port

import "go.bug.st/serial"

// The system tells the USB names only to programs linked against its own frameworks.
const namesUSB = false

func list() ([]Listed, error) {
	names, err := serial.GetPortsList()
	var l []Listed
	for _, n := range names {
		l = append(l, Listed{Name: n})
	}
	return l, err
}
