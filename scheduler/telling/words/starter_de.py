"""Deutsch: die Fragen von `starter`, und was in der Datei steht, die daraus wird."""

from __future__ import annotations

from collections.abc import Mapping

SENTENCES: Mapping[str, str] = {
    "What is to be done? One of these, or several, such as `2, 5`.": "Was ist zu tun? Eines davon, oder mehrere, "
    "etwa `2, 5`.",
    "panel wall: boards and battens over a backer sheet, primed and painted": (
        "Wandtäfelung: Bretter und Leisten auf einer Trägerplatte, grundiert und gestrichen"
    ),
    "repaint a room: walls, ceiling, trim": "Raum neu streichen: Wände, Decke, Leisten",
    "floor: old boards, sanded and varnished or oiled; or concrete, coated": "Boden: alte Dielen, geschliffen und "
    "versiegelt oder geölt; oder Beton, beschichtet",
    "bathroom wall: tile, grout, sealant, paint around it": "Badezimmerwand: Fliesen, Fugen, Dichtstoff, Farbe darum",
    "floor of planks: laminate, vinyl or engineered wood that clicks together": (
        "Klickboden: Laminat, Vinyl oder Fertigparkett"
    ),
    "wallpaper to paint: the paper off, the wall patched, primed, painted": (
        "Tapete zu Farbe: Tapete ab, Wand gespachtelt, grundiert, gestrichen"
    ),
    "cabinet fronts: doors and drawers of a kitchen, off, painted, on again": (
        "Küchenfronten: Türen und Schubladen, ab, lackiert, wieder dran"
    ),
    "shower joint: the old sealant out, new in": "Duschfuge: alter Dichtstoff heraus, neuer hinein",
    "shower wall: old tile off, board, membrane, tile, sealant": "Duschwand: alte Fliesen ab, Platte, "
    "Abdichtung, Fliesen, Dichtstoff",
    "drywall: board hung, taped, sanded, primed, painted": "Trockenbau: Platten befestigt, verspachtelt, "
    "geschliffen, grundiert, gestrichen",
    "windows: wooden sashes, washed, mended, primed, painted": "Holzfenster: Flügel gewaschen, ausgebessert, "
    "grundiert, lackiert",
    "stair: treads, risers, balusters, painted while it is in use": "Treppe: Stufen, Setzstufen, Stäbe, "
    "gestrichen, während sie benutzt wird",
    "panel wall": "Wandtäfelung",
    "repaint a room": "Raum neu streichen",
    "repaint": "Neu streichen",
    "floor": "Dielenboden",
    "bathroom wall": "Badezimmerwand",
    "floor of planks": "Klickboden",
    "wallpaper to paint": "Tapete zu Farbe",
    "cabinet fronts": "Küchenfronten",
    "shower joint": "Duschfuge",
    "shower wall": "Duschwand",
    "drywall": "Trockenbau",
    "windows": "Holzfenster",
    "stair": "Treppe",
    "Panel wall": "Wandtäfelung",
    "Repaint a room": "Raum neu streichen",
    "Floor": "Dielenboden",
    "Bathroom wall": "Badezimmerwand",
    "Floor of planks": "Klickboden",
    "Wallpaper to paint": "Tapete zu Farbe",
    "Cabinet fronts": "Küchenfronten",
    "Shower joint": "Duschfuge",
    "Shower wall": "Duschwand",
    "Drywall": "Trockenbau",
    "How large is the room? Length x width x height, with units.": "Wie groß ist der Raum? Länge x Breite x "
    "Höhe, mit Einheiten.",
    "Which doors and windows? Such as `1 door, 2 windows {size} on east wall`; or none.": (
        "Welche Türen und Fenster? Etwa `1 Tür, 2 Fenster {size} auf Ostwand`; oder keine."
    ),
    "Which walls, and how high? North and south are as long as the room, east and west as wide.": (
        "Welche Wände, und wie hoch? Nord und Süd sind so lang wie der Raum, Ost und West so breit."
    ),
    "{band} Such as `north and east up to {top}`; `ceiling` for all the way.": (
        "{band} Etwa `Nord und Ost bis {top}`; `Decke` für ganz hinauf."
    ),
    "{band} Such as `north and east from {foot} up to ceiling`.": "{band} Etwa `Nord und Ost von {foot} bis Decke`.",
    "{band} Such as `east and west from {foot} up to {top}`.": "{band} Etwa `Ost und West von {foot} bis {top}`.",
    "What is painted: walls, ceiling, trim? Add `wash` to wash it first.": "Was wird gestrichen: Wände, Decke, "
    "Leisten? Mit `waschen` wird es zuerst gewaschen.",
    "What goes with it: furniture to carry out and in, a shoe moulding along the walls? Or none.": (
        "Was gehört dazu: Möbel hinaus und hinein, eine Sockelleiste an den Wänden? Oder keine."
    ),
    "What goes with it: furniture to carry out and in, an old carpet to take up, a shoe moulding?": (
        "Was gehört dazu: Möbel hinaus und hinein, ein alter Teppich, eine Sockelleiste?"
    ),
    "How many layers of paper?": "Wie viele Lagen Tapete?",
    "How many fronts (doors, drawers), old holes to fill, places on a drying rack (0: room for all)?": (
        "Wie viele Fronten (Türen, Schubladen), alte Löcher zum Füllen, Plätze auf einem Trockengestell (0: "
        "Platz für alle)?"
    ),
    "How long is the joint, all sides together?": "Wie lang ist die Fuge, alle Seiten zusammen?",
    "What gets new board: walls, ceiling?": "Was bekommt neue Platten: Wände, Decke?",
    "How many sashes are stuck (painted shut), and how many panes has a window?": (
        "Wie viele Flügel klemmen (zugestrichen), und wie viele Scheiben hat ein Fenster?"
    ),
    "How many treads, how many balusters?": "Wie viele Stufen, wie viele Stäbe?",
    "Which paint on the panelling?": "Welche Farbe auf die Täfelung?",
    "Which primer, for what is there now?": "Welche Grundierung, für das, was jetzt da ist?",
    "Which finish?": "Welche Oberfläche?",
    "What holds the tile, and which grout?": "Was hält die Fliesen, und welcher Fugenmörtel?",
    "Which planks?": "Welche Dielen?",
    "Which paper is it?": "Welche Tapete ist es?",
    "Which paint?": "Welcher Lack?",
    "What is in the joint now?": "Was ist jetzt in der Fuge?",
    "How is the board finished?": "Wie werden die Platten fertig gemacht?",
    "How are the treads done?": "Wie werden die Stufen gestrichen?",
    "How many coats?": "Wie viele Anstriche?",
    "Which colour around the tile? Or none.": "Welche Farbe um die Fliesen? Oder keine.",
    "Which colours, with commas: {parts}? Or none.": "Welche Farben, mit Kommas: {parts}? Oder keine.",
    "Which colours, with commas: {parts}?": "Welche Farben, mit Kommas: {parts}?",
    "Which colour: {parts}?": "Welche Farbe: {parts}?",
    "When can somebody work? Days and hours, with commas.": "Wann kann jemand arbeiten? Tage und Stunden, mit "
    "Kommas.",
    "How many people? Such as `1`, or `1, 2 on Saturday` if there is a helper.": (
        "Wie viele Leute? Etwa `1`, oder `1, 2 am Samstag`, wenn jemand hilft."
    ),
    "Is anything on order, and when does it come? Such as “{thing} in 2 weeks”, with commas; or nothing.": (
        "Ist etwas bestellt, und wann kommt es? Etwa „{thing} in 2 Wochen“, mit Kommas; oder nichts."
    ),
    "boards": "Bretter",
    "sander": "Schleifmaschine",
    "planks": "Dielen",
    "tiles": "Fliesen",
    "board": "Platten",
    "sealant": "Dichtstoff",
    "paint": "Farbe",
    "From which day on?": "Ab welchem Tag?",
    "When is it to be quiet, without saw, nailer and sander? Or none.": "Wann soll Ruhe sein, ohne Säge, Nagler "
    "und Schleifmaschine? Oder keine.",
    "In which time zone is the house? Continent/City.": "In welcher Zeitzone steht das Haus? Kontinent/Stadt.",
    "What is the room called?": "Wie heißt der Raum?",
    "{kind}: {question}": "{kind}: {question}",
    "{name} ({said})": "{name} ({said})",
    "hard; next coat a day later": "hart; nächster Anstrich einen Tag später",
    "next coat within hours": "nächster Anstrich nach Stunden",
    "hardest, slow, strong fumes": "am härtesten, langsam, starke Dämpfe",
    "waterborne alkyd enamel": "Wasserbasierter Alkydlack",
    "acrylic latex trim paint": "Acryllack",
    "solvent-based alkyd enamel": "Lösemittelhaltiger Alkydlack",
    "sound paint, much the same colour": "gute alte Farbe, fast derselbe Ton",
    "glossy paint, or another colour": "glänzende Farbe, oder ein anderer Ton",
    "stains, or a strong colour": "Flecken, oder ein kräftiger Ton",
    "no primer": "Keine Grundierung",
    "acrylic bonding primer": "Haftgrund auf Acrylbasis",
    "stain-blocking primer": "Isoliergrund",
    "three coats, hours apart": "drei Anstriche, Stunden dazwischen",
    "a day a coat, strong fumes": "ein Tag je Anstrich, starke Dämpfe",
    "two coats, wiped off": "zwei Aufträge, abgewischt",
    "waterborne polyurethane": "Wasserbasierter Polyurethanlack",
    "oil-modified polyurethane": "Ölmodifizierter Polyurethanlack",
    "penetrating oil": "Öl, das einzieht",
    "for any tile": "für alle Fliesen",
    "small tile, dry wall": "kleine Fliesen, trockene Wand",
    "stains less, harder to spread": "weniger Flecken, schwerer zu verarbeiten",
    "cement mortar, cement grout": "Zementkleber, zementärer Fugenmörtel",
    "ready-mixed adhesive, cement grout": "Fertigkleber, zementärer Fugenmörtel",
    "cement mortar, epoxy grout": "Zementkleber, Epoxidfuge",
    "lies in the room for two days": "liegt zwei Tage im Raum",
    "the same, by its sheet less": "ebenso, nach seinem Merkblatt kürzer",
    "lies in the room for three days": "liegt drei Tage im Raum",
    "laminate": "Laminat",
    "rigid vinyl": "Steifes Vinyl",
    "engineered wood": "Fertigparkett",
    "wetted and scraped": "genässt und abgekratzt",
    "its face peels off dry": "die Deckschicht geht trocken ab",
    "scored first, several times as slow": "erst perforiert, mehrfach so langsam",
    "plain paper": "Einfache Papiertapete",
    "strippable vinyl": "Abziehbare Vinyltapete",
    "painted or wood chip": "Überstrichen oder Raufaser",
    "softened with a remover, which acts for an hour": "mit Entferner gelöst, der eine Stunde wirkt",
    "scraped out": "ausgekratzt",
    "silicone": "Silikon",
    "latex caulk": "Acryl-Dichtstoff",
    "joints in three coats": "Fugen in drei Gängen",
    "thinned emulsion, on new plaster that is dry": "verdünnte Dispersionsfarbe, auf neuem trockenem Putz",
    "mist coat": "Verdünnter Erstanstrich",
    "garage or cellar: tested, ground, primed, coated": "Garage, Keller: geprüft, geschliffen, grundiert, gerollt",
    "epoxy on concrete": "Epoxid auf Beton",
    "two coats, trowelled; dry before its mist coat": "zwei Lagen, geglättet; trocken vor dem Erstanstrich",
    "skimmed with gypsum plaster": "Mit Gips-Feinputz geglättet",
    "`face: etched` or `painted before` instead of ground; no car on it for a week": (
        "`face: etched` oder `painted before` statt geschliffen; eine Woche lang kein Auto darauf"
    ),
    "the whole board skimmed as well": "auch die ganze Platte gespachtelt",
    "under flat paint": "Unter matter Farbe",
    "under gloss or side light": "Unter Glanz oder Streiflicht",
    "the stair stays in use": "die Treppe bleibt in Gebrauch",
    "for another way up, or an empty house": "bei einem anderen Weg hinauf, oder im leeren Haus",
    "risers, stringers and balusters only": "nur Setzstufen, Wangen und Stäbe",
    "every other one first": "Jede zweite zuerst",
    "all in one go": "Alle auf einmal",
    "left as they are": "Wie sie sind",
    "panelling": "Täfelung",
    "wall above": "Wand darüber",
    "walls": "Wände",
    "ceiling": "Decke",
    "trim": "Leisten",
    "wash": "Waschen",
    "furniture": "Möbel",
    "shoe moulding": "Sockelleiste",
    "old carpet": "alter Teppich",
    "layers": "Lagen",
    "fronts": "Fronten",
    "holes": "Löcher",
    "places": "Plätze",
    "stuck": "klemmend",
    "panes": "Scheiben",
    "treads": "Stufen",
    "balusters": "Stäbe",
    "north wall": "Nordwand",
    "east wall": "Ostwand",
    "south wall": "Südwand",
    "west wall": "Westwand",
    "Room: “{room}”, {size}, {height} high; {holes}.": "Raum: „{room}“, {size}, {height} hoch; {holes}.",
    "{hole} in the {wall}": "{hole} ({wall})",
    "no door and no window": "keine Tür und kein Fenster",
    "Work: {work}; {material}.": "Arbeit: {work}; {material}.",
    "{material}, {holes} holes to fill": "{material}, {holes} Löcher zu füllen",
    "Finish: {coats}.": "Oberfläche: {coats}.",
    "Colours: {colours}; {coats} each.": "Farben: {colours}; je {coats}.",
    "{coats} coats": "{coats} Anstriche",
    "1 coat": "1 Anstrich",
    "no colour": "keine Farbe",
    "Hours, {every}: {hours}.": "Arbeitszeit, {every}: {hours}.",
    "every week": "jede Woche",
    "to be done by {day}": "fertig bis {day}",
    "{hours}; quiet from {start} to {end}": "{hours}; Ruhe von {start} bis {end}",
    "{hours}, break {start} to {end}": "{hours}, Pause {start} bis {end}",
    "{hours}, {people} people": "{hours}, {people} Leute",
    "{days} {start} to {end}": "{days} {start} bis {end}",
    "From {start} on, times of {zone}; {order}.": "Ab {start}, Zeiten von {zone}; {order}.",
    "“{name}” comes {day}": "„{name}“ kommt {day}",
    "nothing on order": "nichts bestellt",
    "Enter writes it. Or say what is otherwise: `break 12:30 to 13:00`, `no break`, `quiet 22:00 to 6:00`, "
    "`only this weekend`, `3 holes`, `zone Europe/Berlin`, `walls yellow`.": (
        "Enter schreibt es. Oder sagt, was anders ist: `Pause 12:30 bis 13:00`, `keine Pause`, `Ruhe 22:00 "
        "bis 6:00`, `nur dieses Wochenende`, `3 Löcher`, `Zeitzone Europe/Berlin`, `Wände gelb`."
    ),
    "A job to edit: {kinds}. Change what is yours, then let it be planned again.": (
        "Ein Auftrag zum Bearbeiten: {kinds}. Ändert, was bei euch anders ist, und lasst neu planen."
    ),
    "Lines that begin with # are notes; take the # away to use what follows it.": (
        "Zeilen mit # am Anfang sind Anmerkungen; nehmt das # weg, damit gilt, was dahinter steht."
    ),
    "Write quantities with their units: 13 ft 2 in or 3.9 m, 68 °F or 20 °C, 45 %, 1 h 30 min, 2 days.": (
        "Schreibt Mengen mit ihrer Einheit: 3.9 m, 20 °C, 45 %, 1 h 30 min, 2 days."
    ),
    "The cautions in the plan are reminders: local codes, the sheet of the product in your hand and licensed": (
        "Die Warnungen im Plan sind Erinnerungen: Vorschriften am Ort, das Merkblatt des Produkts in eurer Hand"
    ),
    "trades come first.": "und Fachbetriebe gehen vor.",
    "nothing is planned before this day": "davor wird nichts geplant",
    "your time zone: Continent/City": "eure Zeitzone: Kontinent/Stadt",
    "US or metric: what is printed; write either": "US oder metric: was ausgegeben wird; schreiben dürft ihr beides",
    "of titles, cautions and answers; what you write stays as it is": "von Titeln, Warnungen und Antworten; was "
    "ihr schreibt, bleibt so",
    "the day by which you want to be done": "der Tag, bis zu dem ihr fertig sein wollt",
    "the year of the house; left out, old paint and texture are taken to hold lead and asbestos": (
        "das Baujahr; ohne gelten alte Farbe und Strukturputz als blei- und asbesthaltig"
    ),
    "When somebody may work. Paint dries on, day and night, while nobody is there.": (
        "Wann jemand arbeiten kann. Farbe trocknet weiter, Tag und Nacht, wenn niemand da ist."
    ),
    "no saw, nailer or sander then": "dann keine Säge, kein Nagler, keine Schleifmaschine",
    "taken from every session: out with the tools": "geht von jedem Einsatz ab: Werkzeug herrichten",
    "and away with them": "und wegräumen",
    "two steps never use the same one at once": "zwei Schritte nehmen nie zugleich dasselbe",
    "north and south wall": "Nord- und Südwand",
    "east and west wall": "Ost- und Westwand",
    "the air dries the film, and a cold night holds it back; measure yours": (
        "die Luft trocknet den Film, und eine kalte Nacht hält ihn auf; messt eure"
    ),
    "What has not come yet. A step or a colour that says `needs: [lamp]` waits for it; other work goes on.": (
        "Was noch nicht da ist. Ein Schritt oder eine Farbe mit `needs: [lamp]` wartet darauf; anderes geht weiter."
    ),
    "New lamp": "Neue Lampe",
    "What is done to which part of the room. The methods know the steps, their order, hours and cautions.": (
        "Was an welchem Teil des Raums getan wird. Die Verfahren kennen Schritte, Reihenfolge, Stunden und Warnungen."
    ),
    "A colour becomes: tape off, first coat, wait, next coat, pull the tape.": (
        "Aus einer Farbe wird: abkleben, erster Anstrich, warten, nächster Anstrich, Klebeband abziehen."
    ),
    "From the ceiling down, the trim last, as is usual; for a colour left out the planner chooses.": (
        "Von der Decke abwärts, Leisten zuletzt, wie üblich; für eine weggelassene Farbe wählt der Plan."
    ),
    "fixes which comes first; else the planner chooses": "legt fest, welche zuerst kommt; sonst wählt der Plan",
    "What is hung for good waits for the tile and is sealed after it.": "Was für immer hängt, wartet auf die "
    "Fliesen und wird danach abgedichtet.",
    "What is to be otherwise in single steps, by their ids: `tackfree plan FOLDER --json` shows them.": (
        "Was in einzelnen Schritten anders sein soll, mit ihren Kennungen: `tackfree plan FOLDER --json` zeigt sie."
    ),
    "Panelling": "Täfelung",
    "Wall above the panelling": "Wand über der Täfelung",
    "Splashback": "Fliesenspiegel",
    "Surround": "Duschverkleidung",
    "Fronts": "Fronten",
    "Joint": "Fuge",
    "Windows": "Fenster",
    "Stair": "Treppe",
    "Joint where tile meets basin, bath and corner": "Fuge zwischen Fliesen und Becken, Wanne und Ecke",
    "the room as a whole": "der Raum als Ganzes",
    "switches and sockets; the old base that comes off": "Schalter und Steckdosen; die alte Sockelleiste, die "
    "abkommt",
    "switches and sockets; `loose paint: to scrape` adds that": "Schalter und Steckdosen; `loose paint: to "
    "scrape` kommt dazu",
    "or a share of the wall: golden section, 1/3": "oder ein Anteil der Wand: golden section, 1/3",
    "over the old wall; the spacing of the studs": "über die alte Wand; der Abstand der Ständer",
    "boxes come forward to the new face": "Dosen kommen nach vorn auf die neue Fläche",
    "what the panelling leaves of these walls": "was die Täfelung von diesen Wänden übrig lässt",
    "percent that is patched; stains to block": "Prozent, die gespachtelt werden; Flecken zum Isolieren",
    "holes to fill; stains to block": "Löcher zu füllen; Flecken zum Isolieren",
    "`{dirt: grease or smoke}` for a kitchen": "`{dirt: grease or smoke}` für eine Küche",
    "base, and casing of doors and windows": "Sockelleiste, und Bekleidung von Türen und Fenstern",
    "gaps along it that are caulked": "Fugen daran, die abgedichtet werden",
    "sanded to bare wood, then coat by coat: the room is out of use meanwhile": (
        "bis aufs Holz geschliffen, dann Schicht um Schicht: der Raum ist so lange nicht benutzbar"
    ),
    "covers the gap between floor and wall": "deckt die Fuge zwischen Boden und Wand",
    "the top of the tile": "die Oberkante der Fliesen",
    "what the tile leaves of them": "was die Fliesen davon übrig lassen",
    "sealed last: paint does not hold on it": "zuletzt abgedichtet: Farbe hält nicht darauf",
    "pipes that come through it: each gets a collar": "Rohre, die hindurchkommen: jedes bekommt eine Manschette",
    "local codes say what stands behind tile that gets wet; water and wiring in it are for licensed trades": (
        "was hinter nassen Fliesen stehen darf, sagen die Vorschriften am Ort; Wasser und Leitungen darin "
        "sind Sache von Fachbetrieben"
    ),
    "alone: the hours are those of two people, so count on more": "allein: die Stunden sind die von zwei Leuten, "
    "rechnet also mit mehr",
    "water and drain are for a licensed plumber where local code says so (common practice, no source)": (
        "Wasser und Abfluss macht der Sanitärfachbetrieb, wo es Vorschrift ist (übliche Praxis, keine Quelle)"
    ),
    "fit {name}": "{name} anbringen",
    "`uneven: 10` is a tenth that is levelled first": "`uneven: 10` ist ein Zehntel, das zuerst ausgeglichen wird",
    "wetted and scraped wall by wall": "Wand für Wand genässt und abgekratzt",
    "percent that is patched": "Prozent, die gespachtelt werden",
    "off, coated on both sides where there is room for them, on again": "ab, beidseitig lackiert, wo Platz für "
    "sie ist, wieder dran",
    "the bath is out of use until it has cured": "das Bad ist nicht benutzbar, bis sie ausgehärtet ist",
    "on bare studs, once what is in them is accepted": "auf blanke Ständer, sobald abgenommen ist, was darin liegt",
    "in the morning: a wet sash stands open": "am Morgen: ein nasser Flügel steht offen",
    "the same floor is sanded or covered": "derselbe Boden wird geschliffen oder belegt",
    "the same walls get new board or lose their paper": "dieselben Wände bekommen Platten oder verlieren ihre Tapete",
    "{part} “{name}”": "{part} „{name}“",
    "{least} to {most}": "{least} bis {most}",
    "the {wall}": "{wall}",
}
