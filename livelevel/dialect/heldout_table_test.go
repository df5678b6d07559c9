package dialect

import "strings"

// inTables are CSV, JSON, NMEA and bare figures.
var inTables = []played{
	{name: "c-head", roles: "uptime ullage level-percent pump", head: "time_ms,distance_mm,level_pct,pump_on", line: func(w plant) string {
		return f("%d,%s,%.1f,%d", w.ms(), w.mm("0"), w.percent, w.bit())
	}},
	{name: "c-head-units", roles: "ullage level-percent temperature pump", head: "Distance [cm];Level [%];Temp [°C];Pump", line: func(w plant) string {
		return f("%s;%.1f;%.1f;%d", w.cm(""), w.percent, w.temp, w.bit())
	}},
	{name: "c-german", roles: "uptime ullage level-percent pump", head: "Zeit [s];Abstand [cm];Füllstand [%];Pumpe", line: func(w plant) string {
		return f("%.0f;%s;%s;%s", w.s, decimalComma(w.cm("")), decimalComma(f("%.1f", w.percent)), w.motor("EIN", "AUS"))
	}},
	{name: "c-tab", roles: "ullage volume supply pump", head: "dist_cm\tvol_l\tvcc\trelay", line: func(w plant) string {
		return f("%s\t%.0f\t%.2f\t%d", w.cm("-1"), w.litres, w.volts, w.bit())
	}},
	{name: "c-iso", roles: "time ullage level-percent pump", head: "timestamp,distance_m,fill,pump", line: func(w plant) string {
		return f("%s,%s,%.1f,%s", w.clock().Format("2006-01-02T15:04:05Z"), w.m("NaN"), w.percent, w.motor("true", "false"))
	}},
	{name: "c-epoch", roles: "time ullage level-percent", head: "epoch,ullage_mm,percent", line: func(w plant) string {
		return f("%d,%s,%.1f", w.clock().Unix(), w.mm("0"), w.percent)
	}},
	{name: "c-quoted", roles: "ullage level-percent pump", head: `"Distance, cm","Level, %","Pump"`, line: func(w plant) string {
		return f(`"%s","%.1f","%s"`, w.cm(""), w.percent, w.motor("ON", "OFF"))
	}},
	{name: "c-french", roles: "ullage level-percent pump supply", head: "distance_cm;niveau_pct;pompe;tension_V", line: func(w plant) string {
		return f("%s;%s;%d;%s", decimalComma(w.cm("0.0")), decimalComma(f("%.1f", w.percent)), w.bit(), decimalComma(f("%.2f", w.volts)))
	}},
	{name: "c-spanish", roles: "ullage level-percent temperature pump", head: "distancia_mm,nivel,temperatura,bomba", line: func(w plant) string {
		return f("%s,%.1f,%.1f,%d", w.mm("-1"), w.percent, w.temp, w.bit())
	}},
	{name: "c-italian", roles: "ullage level-percent pump", head: "distanza(mm);livello(%);pompa", line: func(w plant) string {
		return f("%s;%s;%d", w.mm("0"), decimalComma(f("%.1f", w.percent)), w.bit())
	}},
	{name: "c-dutch", roles: "ullage level-percent pump", head: "afstand_mm,niveau_proc,pomp", line: func(w plant) string {
		return f("%s,%.0f,%d", w.mm("0"), w.percent, w.bit())
	}},
	{name: "c-portuguese", roles: "ullage level-percent pump", head: "distancia_cm;nivel_pct;bomba", line: func(w plant) string {
		return f("%s;%s;%s", decimalComma(w.cm("-1")), decimalComma(f("%.1f", w.percent)), w.motor("LIG", "DESL"))
	}},
	{name: "c-no-head", roles: "uptime ullage level-percent pump", line: func(w plant) string {
		return f("%d,%s,%.1f,%d", w.ms(), w.mm("0"), w.percent, w.bit())
	}},
	{name: "c-no-head-cm", roles: "ullage level-percent pump", line: func(w plant) string {
		return f("%s,%.0f,%d", w.cm("0.0"), w.percent, w.bit())
	}},
	{name: "c-no-head-semicolon", roles: "ullage level-percent pump temperature", line: func(w plant) string {
		return f("%s;%s;%s;%d", decimalComma(f("%.1f", w.temp)), decimalComma(w.cm("0.0")), decimalComma(f("%.1f", w.percent)), w.bit())
	}},
	{name: "c-no-head-supply", roles: "ullage level-percent pump supply uptime", line: func(w plant) string {
		return f("%.1f,%.2f,%d,%.1f,%s", w.s, w.volts, w.bit(), w.percent, w.mm("0"))
	}},
	{name: "c-no-head-iso", roles: "time ullage level-percent", line: func(w plant) string {
		return f("%s,%s,%.1f", w.clock().Format("2006-01-02T15:04:05Z"), w.cm("-1.0"), w.percent)
	}},
	{name: "c-space", roles: "uptime ullage level-percent pump", line: func(w plant) string {
		return f("%d %s %.0f %d", w.ms(), w.mm("0"), w.percent, w.bit())
	}},
	{name: "c-tag", roles: "ullage level-percent pump", may: "uptime", line: func(w plant) string {
		return f("DATA,%d,%s,%.1f,%s", w.i, w.mm("-1"), w.percent, w.motor("ON", "OFF"))
	}},
	{name: "c-head-quiet", roles: "ullage level-percent pump uptime", scene: scene{quiet: true}, head: "uptime_s,dist_mm,level,pump", line: func(w plant) string {
		return f("%.0f,%s,%.1f,%d", w.s, w.mm("0"), w.percent, w.bit())
	}},
	{name: "c-wide", roles: "uptime ullage-raw ullage level-percent volume temperature humidity supply pump mode",
		head: "uptime_ms,raw_mm,dist_mm,level_pct,vol_l,temp_c,hum_pct,vcc_v,pump,auto", line: func(w plant) string {
			return f("%d,%s,%s,%.1f,%.0f,%.1f,%.0f,%.2f,%d,%s", w.ms(), w.mm("0"), w.mm("0"), w.percent, w.litres, w.temp, w.humid, w.volts, w.bit(), w.say(w.auto, "1", "0"))
		}},
	{name: "c-inches", roles: "ullage level-percent", head: "dist_in,level_pct", line: func(w plant) string { return f("%s,%.1f", w.in("-1.0"), w.percent) }},
	{name: "c-echo", roles: "uptime echo temperature", head: "ms,echo_us,temp_c", line: func(w plant) string { return f("%d,%s,%.1f", w.ms(), w.us("0"), w.temp) }},

	{name: "j-flat", roles: "ullage level-percent pump", line: func(w plant) string {
		return f(`{"distance_cm":%s,"level":%.1f,"pump":%v}`, w.cm("null"), w.percent, w.pump)
	}},
	{name: "j-nested", roles: "uptime ullage temperature level-percent pump", line: func(w plant) string {
		return f(`{"sys":{"uptime_ms":%d,"rssi":-%d},"sensor":{"dist_mm":%s,"temp_c":%.1f},"tank":{"pct":%.1f},"pump":{"on":%v}}`, w.ms(), w.signal, w.mm("-1"), w.temp, w.percent, w.pump)
	}},
	{name: "j-value-unit", roles: "ullage level-percent", line: func(w plant) string {
		return f(`{"distance":{"value":%s,"unit":"mm"},"level":{"value":%.1f,"unit":"%%"}}`, w.mm("null"), w.percent)
	}},
	{name: "j-strings", roles: "ullage level-percent pump supply", line: func(w plant) string {
		return f(`{"dist":"%s cm","fill":"%.0f%%","motor":"%s","supply":"%.2f V"}`, w.cm("---"), w.percent, w.motor("ON", "OFF"), w.volts)
	}},
	{name: "j-german", roles: "ullage level-percent pump", line: func(w plant) string {
		return f(`{"abstand_mm": %s, "fuellstand_prozent": %.1f, "pumpe": "%s"}`, w.mm("null"), w.percent, w.motor("ein", "aus"))
	}},
	{name: "j-spaced", roles: "time ullage volume pump", line: func(w plant) string {
		return f(`{ "ts" : "%s", "ullage_m" : %s, "volume_l" : %.0f, "pump_running" : %d }`, w.clock().Format("2006-01-02T15:04:05Z"), w.m("-1"), w.litres, w.bit())
	}},
	{name: "j-array", roles: "ullage level-percent pump", line: func(w plant) string {
		return f(`{"readings":[{"d_mm":%s},{"l_pct":%.1f}],"relays":[%d]}`, w.mm("0"), w.percent, w.bit())
	}},
	{name: "j-prefix", roles: "ullage level-percent pump", line: func(w plant) string {
		return f(`tank/ht2/state {"dist":%s,"pct":%.0f,"pump":"%s"}`, w.mm("0"), w.percent, w.motor("on", "off"))
	}},
	{name: "j-french", roles: "ullage level-percent pump", line: func(w plant) string {
		return f(`{"distance_mm":%s,"niveau":%.1f,"pompe":%v}`, w.mm("0"), w.percent, w.pump)
	}},
	{name: "j-quiet", roles: "uptime ullage level-percent pump", scene: scene{quiet: true}, line: func(w plant) string {
		return f(`{"up":%.0f,"dist":%s,"pct":%.1f,"pump":%d}`, w.s, w.mm("null"), w.percent, w.bit())
	}},
	{name: "j-error-key", roles: "ullage level-percent", line: func(w plant) string {
		if w.lost {
			return f(`{"error":"timeout","level_pct":%.1f}`, w.percent)
		}
		return f(`{"distance_mm":%.0f,"level_pct":%.1f}`, w.ullage*1000, w.percent)
	}},

	{name: "n-dbt", roles: "ullage", line: func(w plant) string {
		return checked(f("SDDBT,%s,f,%s,M,%s,F", w.ft(""), w.m(""), w.measured("%.2f", w.ullage/1.8288, "")))
	}},
	{name: "n-xdr-distance", roles: "ullage supply temperature", line: func(w plant) string {
		return checked(f("WIXDR,D,%s,M,ULLAGE,U,%.2f,V,SUPPLY,C,%.1f,C,AIR", w.m(""), w.volts, w.temp))
	}},
	{name: "n-xdr-percent", roles: "ullage level-percent pump", line: func(w plant) string {
		return checked(f("YXXDR,D,%s,M,DIST,E,%.1f,P,LEVEL,S,%d,,PUMP", w.m(""), w.percent, w.bit()))
	}},
	{name: "n-volume", roles: "ullage volume", line: func(w plant) string {
		return checked(f("IIXDR,V,%.3f,M,TANK", w.litres/1000)) + "\n" + checked(f("IIXDR,D,%s,M,AIRGAP", w.m("")))
	}},

	{name: "b-mm", roles: "ullage", asks: true, line: func(w plant) string { return w.mm("0") }},
	{name: "b-cm", roles: "ullage", asks: true, line: func(w plant) string { return w.cm("0.0") }},
	{name: "b-m", roles: "ullage", asks: true, line: func(w plant) string { return w.m("0.000") }},
	{name: "b-in", roles: "ullage", asks: true, line: func(w plant) string { return w.in("-1.0") }},
	{name: "b-cm-unit", roles: "ullage", line: func(w plant) string { return w.measured("%.1f cm", w.ullage*100, "---") }},
	{name: "b-mm-unit", roles: "ullage", line: func(w plant) string { return w.measured("%.0fmm", w.ullage*1000, "9999mm") }},
	{name: "b-m-comma", roles: "ullage", line: func(w plant) string { return decimalComma(w.measured("%.3f m", w.ullage, "0.000 m")) }},
	{name: "b-inch-mark", roles: "ullage", line: func(w plant) string { return w.measured(`%.2f"`, w.ullage/0.0254, `0.00"`) }},
	{name: "b-percent", roles: "level-percent", line: func(w plant) string { return w.measured("%.1f %%", w.percent, "-- %") }},
	{name: "b-us", roles: "echo", line: func(w plant) string { return w.measured("%.0f us", w.ullage*2/343*1e6, "0 us") }},
	{name: "b-letter-r", roles: "ullage", line: func(w plant) string { return w.measured("R%04.0f", w.ullage*1000, "R9999") }},
	{name: "b-two", roles: "ullage level-percent", asks: true, line: func(w plant) string { return f("%s %.0f", w.cm("0.0"), w.percent) }},
	{name: "b-quiet", roles: "ullage", asks: true, scene: scene{quiet: true}, line: func(w plant) string { return w.mm("0") }},
	{name: "b-upper-unit", roles: "ullage", line: func(w plant) string { return strings.ToUpper(w.measured("%.1f cm", w.ullage*100, "out of range")) }},
}
