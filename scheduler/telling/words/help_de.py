"""Deutsch: die Hilfe zu den Befehlen und was an einer Befehlszeile falsch sein kann."""

from __future__ import annotations

from collections.abc import Mapping

SENTENCES: Mapping[str, str] = {
    "Usage: ": "Aufruf: ",
    "Options": "Optionen",
    "Arguments": "Angaben",
    "Commands": "Befehle",
    "required": "nötig",
    "default: {default}": "sonst: {default}",
    "(dynamic)": "(je nachdem)",
    "Example:": "Beispiel:",
    "Show this message and exit.": "Diese Hilfe zeigen.",
    "Install completion for the current shell.": "Vervollständigung für diese Shell einrichten.",
    "Show completion for the current shell, to copy it or customize the installation.": (
        "Vervollständigung für diese Shell zeigen, zum Kopieren oder Anpassen."
    ),
    "Missing command.": "ein Befehl fehlt",
    "[OPTIONS]": "[OPTIONEN]",
    "COMMAND [ARGS]...": "BEFEHL [ANGABEN]...",
    "there is no option {option}": "eine Option {option} gibt es nicht",
    "there is no option {option}; did you mean {names}?": "eine Option {option} gibt es nicht; meint ihr {names}?",
    "there is no command “{name}”": "einen Befehl „{name}“ gibt es nicht",
    "there is no command “{name}”; did you mean “{near}”?": "einen Befehl „{name}“ gibt es nicht; meint ihr "
    "„{near}“?",
    "{name} is missing": "{name} fehlt",
    "{option} needs a value behind it": "hinter {option} fehlt ein Wert",
    "{option} takes no value": "{option} nimmt keinen Wert",
    "{name} takes one of {names}": "{name} nimmt eines von {names}",
    "{name} takes a whole number": "{name} nimmt eine ganze Zahl",
    "{name} takes a whole number from {least} up": "{name} nimmt eine ganze Zahl von {least} an",
    "{name} takes a whole number from {least} to {most}": "{name} nimmt eine ganze Zahl von {least} bis {most}",
    "{name} does not take this": "{name} nimmt das nicht",
    "there are more words here than the command takes": "hier stehen mehr Wörter, als der Befehl nimmt",
    "{command}: {said}; see {command} --help": "{command}: {said}; seht {command} --help",
    "Which hours of which weekend: plans a job of several days around the hours you have and the hours that "
    "glue, filler, caulk and paint take to dry.": "Welche Stunden an welchem Wochenende: plant einen Auftrag von "
    "mehreren Tagen um die Stunden, die ihr habt, und um die, die Leim, Spachtel, Dichtstoff und Farbe zum "
    "Trocknen brauchen.",
    "What to do in which hours of which weekend.": "Was in welchen Stunden an welchem Wochenende zu tun ist.",
    "Plan the job and print the answer in one screen: done by when, what to get, what dries, the next session.": (
        "Den Auftrag planen und die Antwort auf einem Bildschirm zeigen: bis wann fertig, was zu besorgen "
        "ist, was trocknet, der nächste Einsatz."
    ),
    "What the diary records is taken as given. A plan that is printed, or written to a calendar, is kept "
    "beside the job file as the one handed out; with --json alone nothing is kept.": (
        "Was eingetragen ist, gilt. Ein Plan, der gezeigt oder in einen Kalender geschrieben wird, wird als "
        "der ausgegebene neben der Auftragsdatei aufbewahrt; mit --json allein wird nichts aufbewahrt."
    ),
    "The job file, or the folder that holds its job.yaml.": "Die Auftragsdatei, oder der Ordner mit ihrer job.yaml.",
    "Write an iCalendar file.": "Eine iCalendar-Datei schreiben.",
    "Write a page for phone, wall and household.": "Eine Seite für Telefon, Wand und Haushalt schreiben.",
    "Write the steps and their waits: GraphML, or JSON by its ending.": "Die Schritte und ihre Wartezeiten "
    "schreiben: GraphML, oder JSON nach der Endung.",
    "Language of the page, if not that of the job (`language:`); its own words alone.": (
        "Sprache der Seite, wenn nicht die des Auftrags (`language:`); nur ihre eigenen Worte."
    ),
    "Reckon this for the page, too: odds (seconds), leeway (longer).": "Auch das für die Seite rechnen: odds "
    "(Sekunden), leeway (länger).",
    "Print every session in full, with what each step waits for and all sources.": (
        "Jeden Einsatz ganz zeigen, mit dem, worauf jeder Schritt wartet, und allen Quellen."
    ),
    "Print JSON for other programs instead of text.": "JSON für andere Programme ausgeben statt Text.",
    "Plan as if it were this time (2027-01-16 or 2027-01-16T09:30).": "Planen, als wäre es diese Zeit "
    "(2027-01-16 oder 2027-01-16T09:30).",
    "Seed of the search: same input, same seed, same plan.": "Startwert der Suche: gleiche Eingabe, gleicher "
    "Wert, gleicher Plan.",
    "Search effort in steps placed; more may find a better plan.": "Aufwand der Suche in gesetzten Schritten; "
    "mehr kann einen besseren Plan finden.",
    "Stop looking for a better plan after so long: 10 s.": "Nach so langer Zeit nicht weiter nach einem besseren "
    "Plan suchen: 10 s.",
    "The file of --ics holds only what is out of use, or only the sessions for two.": (
        "In der Datei von --ics steht nur, was nicht benutzbar ist, oder nur die Einsätze für zwei."
    ),
    "Alarm so many minutes before each session.": "Erinnern, so viele Minuten vor jedem Einsatz.",
    "As if no plan had been handed out before; the diary holds all the same.": (
        "Als wäre noch kein Plan ausgegeben; was eingetragen ist, gilt trotzdem."
    ),
    "List what to change by hand in a calendar that takes no file again.": "Auflisten, was in einem Kalender, "
    "der keine Datei noch einmal nimmt, von Hand zu ändern ist.",
    "What the calendar holds: the sessions, or every step as well.": "Was im Kalender steht: die Einsätze, oder "
    "auch jeder Schritt.",
    "Local times in the calendar file instead of UTC.": "Ortszeiten in der Kalenderdatei statt UTC.",
    "Leave withdrawn events out of the file, for a first import.": "Zurückgezogene Termine in der Datei "
    "weglassen, für einen ersten Import.",
    "A calendar of the household, a file or on a server; nobody works then. Repeatable.": (
        "Ein Kalender des Haushalts, als Datei oder auf einem Server; dann arbeitet niemand. Mehrfach möglich."
    ),
    "Time to get there and back, around each of these: '30 min'.": "Zeit für Hin- und Rückweg um jeden davon: "
    "'30 min'.",
    "A calendar exported back, or on a server: plan around what you moved in it.": (
        "Ein wieder exportierter Kalender, oder einer auf einem Server: um das herum planen, was ihr darin "
        "verschoben habt."
    ),
    "Bring a calendar on a server up to date (CalDAV).": "Einen Kalender auf einem Server auf den Stand bringen "
    "(CalDAV).",
    "With --publish: put back what somebody moved or deleted on the server.": (
        "Mit --publish: zurückstellen, was jemand auf dem Server verschoben oder gelöscht hat."
    ),
    "The certificate of the authority of one's own server (PEM).": "Das Zertifikat der Stelle des eigenen "
    "Servers (PEM).",
    "For once leave the calendar file, page and server of before as they are.": (
        "Diesmal Kalenderdatei, Seite und Server von zuvor lassen, wie sie sind."
    ),
    "For once leave the calendar on the server of before as it is.": "Diesmal den Kalender auf dem Server von "
    "zuvor lassen, wie er ist.",
    "Put the seconds taken into the JSON.": "Die gebrauchten Sekunden ins JSON schreiben.",
    "Read the job only: every fault at its line and column.": "Den Auftrag nur lesen: jeder Fehler mit Zeile und "
    "Spalte.",
    "Read and validate only: every fault at its line and column, with what would be right; else the steps "
    "that come of the job, by the names that `did`, `changes:` and `follows:` take.": (
        "Nur lesen und prüfen: jeder Fehler mit Zeile und Spalte und dem, was richtig wäre; sonst die "
        "Schritte, die aus dem Auftrag werden, mit den Namen, die `did`, `changes:` und `follows:` nehmen."
    ),
    "The household's calendars are read as far ahead as a plan would ask for.": (
        "Die Kalender des Haushalts werden so weit voraus gelesen, wie ein Plan es bräuchte."
    ),
    "Show all that the parts measure instead.": "Stattdessen alle Maße der Teile zeigen.",
    "Write a job to edit: a few questions, or one of the kinds.": "Einen Auftrag zum Bearbeiten schreiben: "
    "Fragen oder eine Art.",
    "Write a commented starter job to edit: a few questions on a terminal. Never overwrites anything.": (
        "Einen kommentierten Auftrag zum Bearbeiten schreiben: ein paar Fragen am Terminal. Überschreibt nie etwas."
    ),
    "Without a terminal and without --kind it is the repaint of a room.": "Ohne Terminal und ohne --kind ist es "
    "der Neuanstrich eines Raums.",
    "A folder; it is made if it is not there.": "Ein Ordner; er wird angelegt, wenn es ihn nicht gibt.",
    "Ask nothing: repaint, wallpaper, panel-wall, drywall, windows, stair, cabinet-fronts, floor, "
    "floor-of-planks, bathroom-wall, shower-wall or shower-joint. Several: say it again.": (
        "Nichts fragen: repaint (neu streichen), wallpaper (Tapete zu Farbe), panel-wall (Wandtäfelung), "
        "drywall (Trockenbau), windows (Holzfenster), stair (Treppe), cabinet-fronts (Küchenfronten), floor "
        "(Dielenboden), floor-of-planks (Klickboden), bathroom-wall (Badezimmerwand), shower-wall "
        "(Duschwand) oder shower-joint (Duschfuge). Mehrere: noch einmal sagen."
    ),
    "A step was finished, or begun: record it, plan anew.": "Ein Schritt ist fertig oder begonnen: eintragen, "
    "neu planen.",
    "A step was finished, or begun: record it, plan anew, show what moves.": (
        "Ein Schritt ist fertig oder begonnen: eintragen, neu planen, zeigen, was sich verschiebt."
    ),
    "Its film dries from when it really ended. Said again with another time or length, it puts right what was "
    "recorded. Of a part of a title only a step that is not done yet is meant. How long steps took (--took, "
    "or --from and --at) corrects the minutes of those to come.": "Sein Film trocknet von da an, wo er wirklich "
    "endete. Noch einmal mit anderer Zeit oder Dauer gesagt, berichtigt es den Eintrag. Mit einem Teil eines "
    "Titels ist nur ein Schritt gemeint, der noch nicht fertig ist. Wie lange Schritte dauerten (--took, oder "
    "--from und --at), berichtigt die Minuten der kommenden.",
    "The id of a step, or a part of its title; several if several are done.": (
        "Die Kennung eines Schritts, oder ein Teil seines Titels; mehrere, wenn mehrere fertig sind."
    ),
    "When it ended (else as planned, or now): 16:40, 'sunday 16:40'.": "Wann er endete (sonst wie geplant, oder "
    "jetzt): 16:40, 'sonntag 16:40'.",
    "It was begun, and so much work is left: '1 h'.": "Er ist begonnen, und so viel Arbeit bleibt: '1 h'.",
    "All of the session that has just been, or is on, as planned.": "Der ganze Einsatz, der gerade war oder "
    "läuft, wie geplant.",
    "With --session: all but this step.": "Mit --session: alles außer diesem Schritt.",
    "Minutes of work it took in all, breaks left out: '2 h 10 min'.": "Arbeitszeit, die er im Ganzen brauchte, "
    "ohne Pausen: '2 h 10 min'.",
    "When it was begun, instead of --took: 14:10.": "Wann er begonnen wurde, statt --took: 14:10.",
    "Take the newest such entry back, with all its command wrote about that.": (
        "Den letzten solchen Eintrag zurücknehmen, mit allem, was sein Befehl darüber schrieb."
    ),
    "Why; it is kept in the diary.": "Warum; es bleibt bei den Einträgen.",
    "Show what would move; record and write nothing.": "Zeigen, was sich verschieben würde; nichts eintragen und "
    "schreiben.",
    "Write the calendar file again, each event at its place.": "Die Kalenderdatei neu schreiben, jeder Termin an "
    "seinem Platz.",
    "Name every step and session that moves, from when to when.": "Jeden Schritt und Einsatz nennen, der sich "
    "verschiebt, von wann auf wann.",
    "How a film felt, dry or not yet: its clock learns.": "Wie sich ein Film anfühlte, trocken oder nicht: seine "
    "Uhr lernt.",
    "How a film felt: at a stage by now, or not yet. Its clock is corrected at once, and those of films to "
    "come.": "Wie sich ein Film anfühlte: schon auf einer Stufe, oder noch nicht. Seine Uhr wird sofort "
    "berichtigt, und die der kommenden Filme.",
    "Only both together, what was not yet dry and what was, make a plan quicker.": (
        "Nur beides zusammen, was noch nicht trocken war und was es war, macht einen Plan schneller."
    ),
    "The step that laid the film: its id, or a part of its title.": "Der Schritt, der den Film auftrug: seine "
    "Kennung, oder ein Teil seines Titels.",
    "The stage: touch, handle, sand, recoat, paint_over, tape …": "Die Stufe: touch, handle, sand, recoat, "
    "paint_over, tape …",
    "It was not at that stage yet.": "Er war noch nicht auf dieser Stufe.",
    "When you looked (else now): 18:40, 2027-01-16 18:40.": "Wann ihr nachgesehen habt (sonst jetzt): 18:40, "
    "2027-01-16 18:40.",
    "An item comes on another day: record it, plan anew.": "Bestelltes kommt an einem anderen Tag: eintragen, "
    "neu planen.",
    "An item on order, or an appointment, comes on another day: record it, plan anew, show what moves and "
    "what not.": "Bestelltes oder ein Termin kommt an einem anderen Tag: eintragen, neu planen, zeigen, was sich "
    "verschiebt und was nicht.",
    "The id of an item on order or of an appointment, or a part of its title.": (
        "Die Kennung von Bestelltem oder einem Termin, oder ein Teil seines Titels."
    ),
    "The day on which it comes: 2027-03-04, friday, '2 weeks'.": "Der Tag, an dem es kommt: 2027-03-04, freitag, "
    "'2 weeks'.",
    "An item is there: record it, plan anew.": "Bestelltes ist da: eintragen, neu planen.",
    "An item on order is there: record it, plan anew, show what moves.": "Bestelltes ist da: eintragen, neu "
    "planen, zeigen, was sich verschiebt.",
    "The id of an item on order, or a part of its title.": "Die Kennung von Bestelltem, oder ein Teil seines Titels.",
    "The day on which it came (else today).": "Der Tag, an dem es kam (sonst heute).",
    "A thing was ordered: record it, plan anew.": "Etwas wurde bestellt: eintragen, neu planen.",
    "A thing that the shop takes time for was ordered: record it, and nobody is told to order it again.": (
        "Etwas, wofür der Laden Zeit braucht, wurde bestellt: eintragen, und niemand soll es noch einmal bestellen."
    ),
    "What it is, as the list calls it, or a part of that; several if several are.": (
        "Was es ist, wie die Liste es nennt, oder ein Teil davon; mehreres, wenn es mehreres ist."
    ),
    "The day on which it was (else today): friday, 5.12.": "Der Tag, an dem es war (sonst heute): freitag, 5.12.",
    "The day on which the shop says it comes.": "Der Tag, an dem es nach dem Laden kommt.",
    "A thing is in the house: it is off the list.": "Etwas ist im Haus: es ist von der Liste.",
    "A thing is in the house, as much of it as the job needs: record it, and it is off the list.": (
        "Etwas ist im Haus, so viel, wie der Auftrag braucht: eintragen, und es ist von der Liste."
    ),
    "What has to settle in the room does so from that day on.": "Was sich im Raum angleichen muss, tut es von "
    "diesem Tag an.",
    "Everything that `tackfree buy` lists.": "Alles, was `tackfree buy` auflistet.",
    "A day or session does not happen: record it, plan anew.": "Ein Tag oder Einsatz fällt aus: eintragen, neu "
    "planen.",
    "A day, or a session of it, that did not happen or will not: record it, plan anew, show what moves.": (
        "Ein Tag, oder ein Einsatz daran, der ausfiel oder ausfällt: eintragen, neu planen, zeigen, was sich "
        "verschiebt."
    ),
    "After work that is recorded on that day, the rest of it is lost.": "Nach Arbeit, die an diesem Tag "
    "eingetragen ist, fällt der Rest aus.",
    "The day on which nobody worked, or will: 2027-01-23, sunday.": "Der Tag, an dem niemand gearbeitet hat oder "
    "arbeiten wird: 2027-01-23, sonntag.",
    "Only this session of the day, counted from 1.": "Nur dieser Einsatz des Tages, von 1 gezählt.",
    "A step more: into the job file, and planned anew.": "Ein Schritt mehr: in die Auftragsdatei, und neu geplant.",
    "A step more: write it into the job file, comments kept, and plan anew.": (
        "Ein Schritt mehr: in die Auftragsdatei schreiben, Kommentare bleiben, und neu planen."
    ),
    "What is done, in a few words.": "Was getan wird, in ein paar Worten.",
    "The step that it comes after; it takes its place there in the order of the work.": (
        "Der Schritt, nach dem er kommt; dort nimmt er seinen Platz in der Reihenfolge der Arbeit ein."
    ),
    "How long it takes.": "Wie lange er dauert.",
    "The material that it lays.": "Das Material, das er aufträgt.",
    "In which room (else that of --after).": "In welchem Raum (sonst dem von --after).",
    "A step less: out of the job file, and planned anew.": "Ein Schritt weniger: aus der Auftragsdatei, und neu "
    "geplant.",
    "A step less: leave it out in the job file, comments kept, and plan anew.": (
        "Ein Schritt weniger: in der Auftragsdatei weglassen, Kommentare bleiben, und neu planen."
    ),
    "The id of a step, or a part of its title.": "Die Kennung eines Schritts, oder ein Teil seines Titels.",
    "The page on the phones of the house, where a tap is a record.": "Die Seite auf den Telefonen im Haus, wo "
    "ein Tippen ein Eintrag ist.",
    "The page of a job on the phones of the house: a tap records, as `did` does; and a calendar to subscribe "
    "to.": "Die Seite eines Auftrags auf den Telefonen im Haus: ein Tippen trägt ein, wie `did`; und ein "
    "Kalender zum Abonnieren.",
    "It listens on this machine alone unless --house is given. End it with Ctrl-C.": (
        "Sie ist nur auf diesem Rechner zu erreichen, außer mit --house. Beendet wird sie mit Strg-C."
    ),
    "The job file, or its folder; several if several are served.": "Die Auftragsdatei, oder ihr Ordner; mehrere, "
    "wenn mehrere bereitstehen sollen.",
    "Open it to the phones in this network.": "Auch für die Telefone in diesem Netz öffnen.",
    "The port, kept from then on (8765).": "Der Anschluss, der von da an bleibt (8765).",
    "New addresses: whoever has the old ones is out.": "Neue Adressen: wer die alten hat, ist draußen.",
    "Certificate for https, with --key.": "Zertifikat für https, mit --key.",
    "The private key of --cert.": "Der private Schlüssel von --cert.",
    "A name that this network has for this machine. Repeatable.": "Ein Name, den dieses Netz für diesen Rechner "
    "hat. Mehrfach möglich.",
    "What has been recorded of a job, one line an event.": "Was von einem Auftrag eingetragen ist, eine Zeile je "
    "Ereignis.",
    "Add a note.": "Eine Notiz eintragen.",
    "Add a reading of the air, then plan anew: '66 °F, 48 %'.": "Eine Messung der Luft eintragen, dann neu "
    "planen: '19 °C, 48 %'.",
    "In which room, if there are more.": "In welchem Raum, wenn es mehrere gibt.",
    "When it was read (else now).": "Wann gemessen wurde (sonst jetzt).",
    "What was recorded as OLD is called NEW in the job file now: carry it over, then plan anew.": (
        "Was als OLD eingetragen ist, heißt in der Auftragsdatei jetzt NEW: übertragen, dann neu planen."
    ),
    "Take the newest entry back that holds, with all its command wrote.": "Den letzten geltenden Eintrag "
    "zurücknehmen, mit allem, was sein Befehl schrieb.",
    "Print what it taught, as lines for the job file of the next job.": "Zeigen, was gelernt wurde, als Zeilen "
    "für die Auftragsdatei des nächsten Auftrags.",
    "What to buy, how much of it, and by when.": "Was zu kaufen ist, wie viel davon, und bis wann.",
    "What to buy, how much of it, and what must be in the house before which weekend.": (
        "Was zu kaufen ist, wie viel davon, und was vor welchem Wochenende im Haus sein muss."
    ),
    "What is used once a step has begun counts as bought.": "Was ein begonnener Schritt braucht, gilt als gekauft.",
    "How late items and sessions may be before the end moves.": "Wie spät Bestelltes und Einsätze sein dürfen, "
    "bis das Ende rückt.",
    "How late each delivery, appointment or session may be before the end moves; then week by week.": (
        "Wie spät jede Lieferung, jeder Termin oder Einsatz sein darf, ehe sich das Ende verschiebt; danach "
        "Woche für Woche."
    ),
    "So many weeks of delay are reckoned, each by a full plan.": "So viele Wochen Verspätung werden gerechnet, "
    "jede mit einem ganzen Plan.",
    "How likely it is to be done by which day.": "Wie wahrscheinlich es bis zu welchem Tag fertig ist.",
    "How likely it is to be done by which day: hands-on and dry times, air and deliveries drawn within their "
    "ranges.": "Wie wahrscheinlich es bis zu welchem Tag fertig ist: Arbeits- und Trockenzeiten, Luft und "
    "Lieferungen in ihren Spannen gezogen.",
    "Every draw keeps to the order of the plan.": "Jede Ziehung hält sich an die Reihenfolge des Plans.",
    "So many draws (else as many as make the 80 % date sure to a day).": "So viele Ziehungen (sonst so viele, "
    "dass der Tag für 80 % auf einen Tag sicher ist).",
    "Seed of the draws and of the search: same input, same seed, same odds.": (
        "Startwert der Ziehungen und der Suche: gleiche Eingabe, gleicher Wert, gleiches Ergebnis."
    ),
    "What would end the job sooner, and by how much.": "Was den Auftrag früher enden ließe, und um wie viel.",
    "What would end the job sooner: every change you could make, each planned again, with what it would cost.": (
        "Was den Auftrag früher enden ließe: jede Änderung, die ihr machen könntet, jede neu geplant, mit "
        "dem, was sie kostet."
    ),
    "Try two changes at once as well.": "Auch je zwei Änderungen zugleich versuchen.",
    "What can be done to a part, and how: all methods.": "Was an einem Teil getan werden kann, und wie: alle "
    "Verfahren.",
    "All methods that `scope` can name, each with its options, what they may be, and what they are if left "
    "out.": "Alle Verfahren, die `scope` nennen kann, jedes mit seinen Wahlen, was sie sein können, und was sie "
    "sind, wenn nichts gesagt ist.",
    "One method, with the steps it brings; without one, all.": "Ein Verfahren mit den Schritten, die es bringt; "
    "ohne eines alle.",
    "With the person's own methods beside this job.": "Mit den eigenen Verfahren neben diesem Auftrag.",
    "List only methods that hold this word.": "Nur Verfahren auflisten, in denen dieses Wort vorkommt.",
    "Units of what is shown.": "Einheiten dessen, was gezeigt wird.",
    "When a coat is ready: each stage, in this air.": "Wann ein Anstrich so weit ist: jede Stufe, in dieser Luft.",
    "When a coat is ready: each stage in this air, at this thickness, from this moment on.": (
        "Wann ein Anstrich so weit ist: jede Stufe in dieser Luft, in dieser Dicke, von diesem Moment an."
    ),
    "A family; without one, they are listed.": "Eine Familie; ohne eine werden sie aufgelistet.",
    "Air temperature (by day): 68F, 20C.": "Lufttemperatur (am Tag): 20C, 68F.",
    "Relative humidity: 45%.": "Relative Luftfeuchte: 45%.",
    "Temperature from 8 pm to 8 am, if it is another.": "Temperatur von 20 bis 8 Uhr, wenn es eine andere ist.",
    "Humidity from 8 pm to 8 am; if not said, the day's water.": "Luftfeuchte von 20 bis 8 Uhr; sonst das Wasser "
    "vom Tag.",
    "A CSV of measured air: time, temperature, humidity.": "Eine CSV gemessener Luft: Zeit, Temperatur, Luftfeuchte.",
    "Take air, zone, units and own profiles from this job.": "Luft, Zeitzone, Einheiten und eigene Profile aus "
    "diesem Auftrag nehmen.",
    "Which room of the job.": "Welcher Raum des Auftrags.",
    "So many coats, each laid as soon as it may be.": "So viele Anstriche, jeder, sobald er darf.",
    "Thickness, depth or bead: 1/8 in, 6 mil, 3 mm.": "Dicke, Tiefe oder Raupe: 3 mm, 0.1 mm, 1/8 in.",
    "A heavy coat: 1.5 times the profile's thickness.": "Ein dicker Anstrich: das 1,5-Fache der Dicke des Profils.",
    "When it is laid: 2027-01-16T16:40 (else now).": "Wann er aufgetragen wird: 2027-01-16T16:40 (sonst jetzt).",
    "Time zone, such as America/Denver (else this machine's).": "Zeitzone, etwa Europe/Berlin (sonst die dieses "
    "Rechners).",
    "List only families that hold this word.": "Nur Familien auflisten, in denen dieses Wort vorkommt.",
    "Units of the answer.": "Einheiten der Antwort.",
    "JSON Schema of the job file, or of what is printed.": "JSON Schema der Auftragsdatei, oder dessen, was "
    "ausgegeben wird.",
    "JSON Schema of the job file, for editors; or of what a command prints with --json.": (
        "JSON Schema der Auftragsdatei, für Editoren; oder dessen, was ein Befehl mit --json ausgibt."
    ),
    "job (its file), or what a command prints: plan, refusal, check, moves, buy, leeway, odds, sooner, dry, "
    "methods, diary.": "job (seine Datei), oder was ein Befehl ausgibt: plan, refusal, check, moves, buy, "
    "leeway, odds, sooner, dry, methods, diary.",
}
