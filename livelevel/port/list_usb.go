//go:build !darwin

package port

import "go.bug.st/serial/enumerator"

const namesUSB = true

func list() ([]Listed, error) {
	ports, err := enumerator.GetDetailedPortsList()
	if err != nil {
		return nil, err
	}
	var l []Listed
	for _, p := range ports {
		e := Listed{Name: p.Name}
		if p.IsUSB {
			e.Product, e.Serial, e.USB = p.Product, p.SerialNumber, p.VID+":"+p.PID
		}
		l = append(l, e)
	}
	return l, nil
}
