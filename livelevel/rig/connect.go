package rig

// Connect is what opening the port does: it may be refused, and it may restart the board.
func (i *Installation) Connect() error {
	i.mu.Lock()
	defer i.mu.Unlock()
	if i.cond.refusal != "" {
		return refusal(i.cond.refusal)
	}
	if i.cond.resetsOnOpen && i.board.powered {
		i.restart("external")
	}
	return nil
}

// refusal is a port that does not open: no-port, busy or no-right.
type refusal string

// PortRefusal is the word by which the port's room knows the reason.
func (r refusal) PortRefusal() string { return string(r) }

func (r refusal) Error() string {
	switch r {
	case "busy":
		return "opening the practice rig's port: held by another program (close it)"
	case "no-right":
		return "opening the practice rig's port: no right to (join the group that owns the port and log in again)"
	}
	return "opening the practice rig's port: there is no such port (is the lead one that carries data?)"
}
