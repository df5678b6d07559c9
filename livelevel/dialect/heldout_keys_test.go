package dialect

// inKeys are lines for a program to read: keys with values, and log lines.
var inKeys = []played{
	{name: "k-units-in-keys", roles: "ullage level-percent pump supply", line: func(w plant) string {
		return f("dist_mm=%s;lvl_pct=%.0f;pump=%d;vbat=%.2f", w.mm("-1"), w.percent, w.bit(), w.volts)
	}},
	{name: "k-vcc", roles: "ullage level-percent pump supply uptime", line: func(w plant) string {
		return f("ullage=%scm,level=%.1f%%,motor=%s,vcc=%.2fV,uptime=%.0f", w.cm("0.0"), w.percent, w.motor("ON", "OFF"), w.volts, w.s)
	}},
	{name: "k-vs", roles: "ullage pump supply", line: func(w plant) string {
		return f("vs=%.2f d=%scm p=%d", w.volts, w.cm("0.0"), w.bit())
	}},
	{name: "k-vin", roles: "level-percent ullage supply pump", line: func(w plant) string {
		return f("level=%.0f%% dist=%smm vin=%.1f rly=%d", w.percent, w.mm("0"), w.volts, w.bit())
	}},
	{name: "k-ub", roles: "ullage level-percent supply", line: func(w plant) string {
		return f("ub=%.2f;abst=%s;proz=%.1f", w.volts, w.mm("0"), w.percent)
	}},
	{name: "k-millivolts", roles: "level pump supply", line: func(w plant) string {
		return f("level_mm=%s pump_state=%s supply_mv=%.0f", w.measured("%.0f", w.height*1000, "-1"), w.motor("RUN", "STOP"), w.volts*1000)
	}},
	{name: "k-level-minus-one", roles: "level-percent pump uptime", asks: true, line: func(w plant) string {
		return f("up=%.0f level=%s pump=%d", w.s, w.measured("%.1f", w.percent, "-1"), w.bit())
	}},
	{name: "k-height-volume", roles: "level volume flow motor-current", line: func(w plant) string {
		return f("h=%sm v=%.0fL q=%.2fm3/h i=%.2fA", w.measured("%.3f", w.height, "nan"), w.litres, w.flow, w.amps)
	}},
	{name: "k-short", roles: "ullage level-percent pump temperature supply", line: func(w plant) string {
		return f("D:%s L:%.0f P:%d T:%.1f V:%.2f", w.mm("0"), w.percent, w.bit(), w.temp, w.volts)
	}},
	{name: "k-quoted", roles: "ullage level-percent pump", may: "time uptime", line: func(w plant) string {
		return f(`ts=%s distance="%s cm" level="%.0f %%" pump="%s"`, w.hms(), w.cm("n/a"), w.percent, w.motor("on", "off"))
	}},
	{name: "k-logfmt", roles: "time ullage level-percent pump", line: func(w plant) string {
		return f(`time=%s level=info msg="measured" distance_m=%s fill_percent=%.1f pump_on=%v`, w.clock().Format("2006-01-02T15:04:05.000Z"), w.m("null"), w.percent, w.pump)
	}},
	{name: "k-ampersand", roles: "ullage level-percent pump temperature", line: func(w plant) string {
		return f("d=%s&l=%.0f&pump=%d&temp=%.1f", w.mm("-1"), w.percent, w.bit(), w.temp)
	}},
	{name: "k-colon-comma", roles: "ullage level-percent pump mode", line: func(w plant) string {
		return f("dist:%s,pct:%.0f,relay:%d,auto:%s", w.cm("400.0"), w.percent, w.bit(), w.say(w.auto, "1", "0"))
	}},
	{name: "k-humid", roles: "ullage temperature humidity level-percent", line: func(w plant) string {
		return f("temp=%.1f hum=%.0f dist=%s level=%.0f", w.temp, w.humid, w.cm("-1.0"), w.percent)
	}},
	{name: "k-order", roles: "pump level-percent ullage uptime", line: func(w plant) string {
		return f("motor=%d pct=%.1f cm=%s ms=%d", w.bit(), w.percent, w.cm("0.0"), w.ms())
	}},
	{name: "k-echo", roles: "echo temperature", line: func(w plant) string { return f("echo_us=%s temp_c=%.1f", w.us("0"), w.temp) }},
	{name: "k-tof", roles: "echo pump supply", line: func(w plant) string {
		return f("tof=%sus,pump=%d,bat=%.2fV", w.us("65535"), w.bit(), w.volts)
	}},
	{name: "k-settings", roles: "ullage level-percent pump low-set full-set", line: func(w plant) string {
		return f("dist=%s pct=%.0f pump=%d low=%d high=%d", w.cm("0.0"), w.percent, w.bit(), w.low, w.high)
	}},
	{name: "k-marks", roles: "ullage full-mark empty-mark pump", line: func(w plant) string {
		return f("distance=%s full=%.0f empty=%.0f pump=%d", w.mm("9999"), w.full*1000, w.empty*1000, w.bit())
	}},
	{name: "k-inches", roles: "ullage level-percent", line: func(w plant) string { return f("dist_in=%s level_pct=%.1f", w.in("-1.0"), w.percent) }},
	{name: "k-error-count", roles: "ullage level-percent pump", line: func(w plant) string {
		return f("seq=%d dist=%smm level=%.0f%% pump=%s err=%d", w.i, w.mm("0"), w.percent, w.motor("on", "off"), w.errors)
	}},
	{name: "k-quality", roles: "ullage echo-quality level-percent", line: func(w plant) string {
		return f("dist=%scm quality=%d level=%.1f", w.cm("0.0"), w.signal, w.percent)
	}},
	{name: "k-german", roles: "ullage level-percent pump temperature", line: func(w plant) string {
		return f("abstand=%s;fuellstand=%s;pumpe=%d;temperatur=%s", decimalComma(w.cm("0,0")), decimalComma(f("%.1f", w.percent)), w.bit(), decimalComma(f("%.1f", w.temp)))
	}},
	{name: "k-spanish", roles: "ullage level-percent pump", line: func(w plant) string {
		return f("dist=%s nivel=%.0f bomba=%s", w.cm("-1"), w.percent, w.motor("si", "no"))
	}},
	{name: "k-french", roles: "ullage level-percent pump supply", line: func(w plant) string {
		return f("dist=%smm niveau=%.0f%% pompe=%d tension=%.2fV", w.mm("0"), w.percent, w.bit(), w.volts)
	}},
	{name: "k-quiet-short", roles: "ullage level-percent pump", scene: scene{quiet: true}, line: func(w plant) string {
		return f("dist=%smm lvl=%.1f%% pump=%d", w.mm("0"), w.percent, w.bit())
	}},
	{name: "k-words-lost", roles: "ullage pump level-percent", line: func(w plant) string {
		return f("dist=%s pump=%d fill=%.0f%%", w.measured("%.1fcm", w.ullage*100, "ERR"), w.bit(), w.percent)
	}},
	{name: "k-slow", roles: "ullage level-percent pump uptime", scene: scene{step: 60}, line: func(w plant) string {
		return f("uptime_s=%.0f distance_cm=%s level=%.0f%% pump=%s", w.s, w.cm("0.0"), w.percent, w.motor("ON", "OFF"))
	}},
	{name: "k-fast", roles: "ullage level-percent pump uptime", scene: scene{step: 0.1}, line: func(w plant) string {
		return f("%d: dist=%smm level=%.0f%% pump=%d", w.ms(), w.mm("0"), w.percent, w.bit())
	}},
	{name: "log-coloured", roles: "ullage level-percent pump uptime", line: func(w plant) string {
		return f("\x1b[0;32mI (%d) tank: distance %s mm, level %.0f %%, pump %s\x1b[0m", w.ms(), w.mm("0"), w.percent, w.motor("on", "off"))
	}},
	{name: "log-warn-lost", roles: "ullage level-percent pump uptime", line: func(w plant) string {
		if w.lost {
			return f("\x1b[33m[%d] WARN level: no echo\x1b[0m", w.ms())
		}
		return f("[%d] INFO level: dist=%.1fcm fill=%.0f%% pump=%d", w.ms(), w.ullage*100, w.percent, w.bit())
	}},
	{name: "log-clock", roles: "ullage temperature pump time", line: func(w plant) string {
		return f("%s INFO  sensor   | dist: %scm | temp: %.1fC | relay: %d", w.clock().Format("2006-01-02 15:04:05.000"), w.cm("0.0"), w.temp, w.bit())
	}},
	{name: "log-kernel", roles: "uptime ullage level-percent pump", line: func(w plant) string {
		return f("<6>[%12.6f] lvlctl: ullage=%s pct=%.0f pump=%d", w.s, w.mm("0"), w.percent, w.bit())
	}},
	{name: "log-comma-clock", roles: "time ullage level-percent", line: func(w plant) string {
		return f("%s - controller - DEBUG - Distance %s cm, level %.1f %%", decimalComma(w.clock().Format("2006-01-02 15:04:05.000")), w.cm("-1"), w.percent)
	}},
	{name: "log-task", roles: "echo temperature", line: func(w plant) string {
		return f("D/LevelTask( 123): echo=%s us t=%.1f C", w.us("0"), w.temp)
	}},
	{name: "log-level-words", roles: "ullage level-percent pump", line: func(w plant) string {
		level := "DEBUG"
		if w.i%7 == 0 {
			level = "INFO"
		}
		return f("[%s][US] d=%s cm l=%.0f %% m=%s", level, w.cm("no echo"), w.percent, w.motor("ON", "OFF"))
	}},
	{name: "log-mixed-chatter", roles: "ullage level-percent pump", line: func(w plant) string {
		s := f("tank: dist %s mm lvl %.0f%% pump %s", w.mm("0"), w.percent, w.motor("on", "off"))
		if w.i%10 == 3 {
			return "mqtt: connection kept alive\n" + s
		}
		return s
	}},
	{name: "log-brackets", roles: "ullage level-percent pump supply", line: func(w plant) string {
		return f("[DIST] %s cm [LVL] %.0f %% [PUMP] %s [VCC] %.2f V", w.cm("0.0"), w.percent, w.motor("ON", "OFF"), w.volts)
	}},
}
