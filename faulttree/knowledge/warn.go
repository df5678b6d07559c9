package knowledge

import (
	"fmt"
	"math"
)

// warn lists what loads but deserves a look.
func (r *reader) warn() (out []string) {
	used, named := map[string]bool{}, map[string]bool{}
	for _, c := range r.base.Complaints {
		out = append(out, r.warnComplaint(c, used)...)
		for _, id := range c.Causes {
			named[id] = true
		}
	}
	for _, id := range sortedKeys(r.base.Causes) {
		if !named[id] {
			out = append(out, fmt.Sprintf("%s: cause %s is in no complaint", r.place["cause/"+id].m.Place, id))
		}
	}
	for _, id := range sortedKeys(r.base.Probes) {
		if !used[id] {
			out = append(out, fmt.Sprintf("%s: probe %s is asked in no complaint", r.place["probe/"+id].m.Place, id))
		}
	}
	return out
}

func (r *reader) warnComplaint(c *Complaint, used map[string]bool) (out []string) {
	where := r.place["complaint/"+c.ID].m
	for _, id := range c.Probes {
		used[id] = true
	}
	passes, total := 0.0, 0.0
	for i, x := range c.Causes {
		total += c.Priors[x]
		passes += c.Priors[x] * r.chance(c, c.Proof, x)
		if bits := r.mostBits(c, x); bits < 1 {
			out = append(out, fmt.Sprintf("%s: %s: no probe speaks clearly of %s (%.2f bit at best)", where.PlaceOf("priors"), c.ID, x, bits))
		}
		for _, y := range c.Causes[i+1:] {
			if d := r.apart(c, x, y); d < 0.25 {
				out = append(out, fmt.Sprintf("%s: %s: %s and %s are near twins (%.2f at best)", where.PlaceOf("priors"), c.ID, x, y, d))
			}
		}
	}
	if share := passes / total; share > 0.10 {
		out = append(out, fmt.Sprintf("%s: %s: the proof %s passes uncured for %.1f %% of the causes", where.PlaceOf("proof"), c.ID, c.Proof.Probe, 100*share))
	}
	return out
}

// mostBits is the clearest word any probe has for a cause: the greatest divergence from the usual.
func (r *reader) mostBits(c *Complaint, cause string) (best float64) {
	for _, id := range c.Probes {
		b, bits := r.base.Probes[id], 0.0
		usual := usualRow(b, c)
		for k, p := range Row(b, c, cause) {
			bits += p * math.Log2(p/usual[k])
		}
		best = math.Max(best, bits)
	}
	return best
}

// apart is how well any probe parts two causes: one minus the overlap of their rows.
func (r *reader) apart(c *Complaint, x, y string) (best float64) {
	for _, id := range c.Probes {
		b, overlap := r.base.Probes[id], 0.0
		px, py := Row(b, c, x), Row(b, c, y)
		for k := range px {
			overlap += math.Sqrt(px[k] * py[k])
		}
		best = math.Max(best, 1-overlap)
	}
	return best
}
