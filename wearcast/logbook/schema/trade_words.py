"""What people write in records of their own, word by word, in five languages.

English, German, French, Spanish and Dutch as on a shop floor; small letters, without accents
(``ü`` is ``u``, see `wearcast.logbook.drafting.phrases.plain`). Common practice, no source. A word
that may mean two things stands in no list: a phrase with it is left to the person.
"""

Words = dict[str, str]
"""What is meant -> the words for it, with commas between."""


def by_word(lists: Words) -> dict[str, str]:
    """Each word to what it means."""
    return {
        " ".join(word.split()): meant for meant, words in lists.items() for word in words.split(",")
    }


THINGS = by_word(
    {
        "blade": (
            "blade, blades, squeegee, squeegees, sqg, sqgee, squegee, squeege, squeegee blade,"
            " squeegee rubber, squeegee rubbers, rubber, rubbers, lippe, lippen, sauglippe,"
            " sauglippen, saugleiste, saugleisten, abziehlippe, gummilippe, lame,"
            " lames, raclette, bavette, bavettes,"
            " goma, gomas, labio, labios, strip, rubberstrip, zuigrubber, zuigrubbers, zuigstrip,"
            " blad, sqg blade, bld"
        ),
        "brush": (
            "brush, brushes, brsh, brshs, broom, roller, burste, bursten, buerste, buersten,"
            " walze, tellerburste, tellerbuerste, scheibenburste, scheibenbursten,"
            " burstenwalze, brosse, brosses, balai, cepillo,"
            " cepillos, borstel, borstels, brush roller, disc brush, cylindrical brush, scrub"
            " brush"
        ),
        "pad": "pad, pads, disc pad, disque, disques, disco, discos, treibteller pad",
    }
)
PLACES = by_word(
    {
        "front": (
            "front, frt, fr, fwd, fore, forward, vorn, vorne, vordere, vorderer, vorderes,"
            " vordere r, vord, vo, avant, av, delantera, delantero, delanteras, voor, voorste,"
            " voorzijde"
        ),
        "rear": (
            "rear, rr, back, aft, hinten, hintere, hinterer, hint, hi, arriere, arr, ar,"
            " trasera, trasero, traseras, tras, achter, achterste, achterzijde"
        ),
        "left": (
            "left, lh, l h, lhs, left hand, lft, links, linke, linker, linkes, li, gauche, gch,"
            " izquierda, izquierdo, izq, izda, izdo"
        ),
        "right": (
            "right, rh, r h, rhs, right hand, rgt, rechts, rechte, rechter, rechtes, re, droite,"
            " droit, dr, dte, derecha, derecho, dcha, dcho"
        ),
        "l": "l",
        "r": "r",
        "side": "side, seitlich, seiten, laterale, lateral, zij",
        "main": "main, haupt, principale, principal, hoofd",
        "centre": (
            "centre, center, middle, mid, mitte, mittlere, centrale, milieu, central, midden"
        ),
    }
)
BOTH = frozenset(by_word({"": "both, both sides, beide, les deux, ambos, ambas, 2x, pair, paar"}))
DONE = by_word(
    {
        "turn": (
            "turned, turn, turned over, turned round, turned around, trned, turnd, rotated,"
            " rotate, rotd, flipped, flip, reversed, reverse, new edge, next edge, edge turned,"
            " turned edge, fresh edge, gedreht, gewendet, umgedreht, gewand, wenden, drehen,"
            " gedr, neue kante, retournee, retourne, retournees, retournement, tournee,"
            " tourne, girada, girado, giradas, girar, volteada, volteado, giro, gedraaid,"
            " omgedraaid, gekeerd, gekeerde, draaien, keren,"
            " retourner, tourner, voltear"
        ),
        "fit": (
            "new, replaced, replace, replacement, repl, rplcd, replcd, changed, change, chgd,"
            " chg, changed out, renewed, renew, renewal, exchanged, exchange, fitted, fit, fitted"
            " new, installed, install, mounted, new one fitted, put on new, neu, neue, neuer,"
            " neues, erneuert, gewechselt, gewechs, wechsel, getauscht, ausgetauscht, ersetzt,"
            " austausch, tausch, montiert, remplacee, remplace, remplacees, remplaces,"
            " remplacement, changee, change, changement, changees, neuve, neuf, neufs, neuves,"
            " nouvelle, nouveau, cambio, cambiada, cambiado, cambiadas, cambiados, cambiar,"
            " sustituida, sustituido, sustitucion, reemplazada, reemplazado, reemplazo, nueva,"
            " nuevo, nuevas, nuevos, vervangen, vervang, vervanging, nieuw, nieuwe, vernieuwd,"
            " gemonteerd, gewisseld,"
            " erneuern, wechseln, ersetzen, tauschen, remplacer, changer, reemplazar, sustituir,"
            " vernieuwen, wisselen"
        ),
        "remove": (
            "removed, taken off, took off, dismounted, uninstalled, scrapped,"
            " discarded, entfernt, abgenommen,"
            " abgebaut, demontiert, enlevee, enleve, deposee, depose, retirada, retirado,"
            " quitada, quitado, verwijderd"
        ),
    }
)
WHY = by_word(
    {
        "worn": (
            "worn, worn out, worn down, wear, normal wear, wear and tear, used up, end of life,"
            " blunt, streaks, streaking, leaves streaks, leaving streaks, leaves water, leaving"
            " water, due, verschlissen, verschleiss, abgenutzt, abgelaufen, abnutzung, stumpf,"
            " usee, use, usees, usure, usure normale, uses, gastada, gastado, gastadas, desgaste,"
            " desgastada, desgastado, versleten, slijtage, sleet, verbraucht"
        ),
        "damaged": (
            "damaged, damage, dmgd, torn, tear, tore, ripped, rip, split, cut, broken, broke,"
            " cracked, gerissen, eingerissen, zerrissen, ausgerissen, riss, beschadigt,"
            " beschaedigt, schaden, kaputt, gebrochen, dechiree, dechire, dechirees, dechirure,"
            " abimee, abime, endommagee, endommage, cassee, casse, coupee, rota, roto, rotura,"
            " rotas, rasgada, rasgado, danada, danado, dano, cortada, gescheurd, scheur,"
            " beschadigd, schade, kapot, gebroken, ingescheurd, accident, unfall, accidente,"
            " ongeval"
        ),
        "planned": (
            "planned, scheduled, preventive, routine, routinely, planned change, geplant,"
            " planmassig, planmaessig, turnusmassig, vorsorglich, preventif, preventive, prevu,"
            " prevue, planifie, planifiee, programado, programada, preventivo, preventiva,"
            " gepland, preventief"
        ),
    }
)
FILLERS = frozenset(
    by_word(
        {
            "": (
                "the, a, an, was, were, is, of, on, off, to, for, as, it, one, ones, by, at, in,"
                " because, due to, part, parts, set, side, sides, edge, die, das, den, war, ist,"
                " am, im, an, wegen, aus, teil, la, le, les, un, une, de, du, des, est, par,"
                " cause, pour, el, los, las, una, uno, por, esta, het, een, van, door, wegens,"
                " was, werd, machine, hand, attended site, attended, on site, customer call,"
                " operator reports, operator reported, tested ok, left in good order,"
                " left in working order, machine cleaned, machine cleaned down"
            )
        }
    )
)
UNTOUCHED = frozenset(
    by_word(
        {
            "": (
                "ok, okay, o k, fine, good, in order, not touched, untouched, no action, nothing"
                " done, still good, i o, in ordnung, gut, unverandert, bon, bonne, en ordre, rien"
                " fait, bien, correcto, sin cambios, goed, in orde"
            )
        }
    )
)
"""Words for a part that was looked at and left as it is."""
ALSO = frozenset(by_word({"": "and, also, und, sowie, et, ainsi que, y, e, en, ook"}))
"""Words between two jobs or two places."""
ELSEWHERE = frozenset(
    by_word(
        {
            "": (
                "tank, battery, batteries, charger, charge, charged, charging, tyre, tire, wheel,"
                " wheels, motor, vac, vacuum, hose, pump, cable, key, seat, light, fuse, akku,"
                " batterie, ladegerat, reifen, rad, schlauch, pumpe, kabel, sicherung, reservoir,"
                " chargeur, pneu, roue, moteur, tuyau, pompe, deposito, bateria, cargador,"
                " neumatico, rueda, manguera, bomba, accu, lader, band, wiel, slang, pomp,"
                " zuigmotor, saugmotor"
            )
        }
    )
)
"""Things on a machine that are no wear parts of ours."""
COUNTS = by_word(
    {
        "yes": (
            "completed, complete, done, closed, finished, executed, carried out, erledigt,"
            " abgeschlossen, fertig, ausgefuhrt, ausgefuehrt, termine, terminee, fait, faite,"
            " clos, effectue, effectuee, realise, realisee, terminado, terminada, hecho, hecha,"
            " cerrado, cerrada, realizado, realizada, completado, completada, finalizado,"
            " finalizada, gereed, klaar, afgerond, uitgevoerd, gedaan, afgehandeld, voltooid"
        ),
        "no": (
            "cancelled, canceled, open, planned, rejected, pending, scheduled, in progress,"
            " waiting, on hold, draft, new, offen, geplant, storniert, abgesagt, abgelehnt, in"
            " arbeit, annule, annulee, ouvert, ouverte, prevu, prevue, planifie, planifiee, en"
            " cours, en attente, refuse, refusee, cancelado, cancelada, anulado, anulada,"
            " abierto, abierta, pendiente, planificado, planificada, programado, programada, en"
            " curso, rechazado, rechazada, geannuleerd, gepland, openstaand, in behandeling,"
            " afgewezen, vervallen"
        ),
    }
)
VOID = frozenset(
    by_word(
        {
            "": (
                "void, voided, cancelled, canceled, deleted, withdrawn, entered in error, entry in"
                " error, entered twice, duplicate entry, not done, storno, storniert, geloscht,"
                " doppelt erfasst, annule, annulee, saisi par erreur, anulado, anulada,"
                " geannuleerd, vervallen"
            )
        }
    )
)
"""Words by which a row itself says that it does not count."""
HEADINGS = {
    column: frozenset(" ".join(word.split()) for word in words.split(","))
    for column, words in {
        "machine": (
            "machine, machines, unit, unit no, asset, asset no, asset id, scrubber, m c, mc, m c"
            " no, equipment, equipment no, machine no, machine number, machine id, fleet no,"
            " maschine, maschinen nr, maschinennr, maschinennummer, maschine nr, gerat, geraet,"
            " gerate nr, geratenr, geratenummer, engin, appareil, autolaveuse, no machine, n"
            " machine, numero machine, maquina, n maquina, no maquina, equipo, fregadora,"
            " machinenummer, machine nr, toestel, schrobmachine, equip, equip no,"
            " masch, masch nr"
        ),
        "date": (
            "date, day, on date, when, workdate, readdate, read date, read on,"
            " reading date, date of reading, date done, date completed,"
            " completed on, completion date, done on, service date, job date, work date, week"
            " ending, week to, week end, week, weeks, wk, w e, week no, month, months, datum,"
            " tag, woche, kw, monat, kalenderwoche, jour, semaine, mois, date du releve, fecha,"
            " dia, semana, mes, dag, maand, datum uitgevoerd, erledigt am, ausgefuhrt am,"
            " leistungsdatum, completed, finished, closed, closed on, finished on, date time,"
            " date and time, datum uhrzeit, abgeschlossen am, abgeschlossen, termine le, fait le,"
            " realise le, date d intervention, date intervention, fecha de cierre, fecha fin,"
            " actual finish, actual finish date, finish date, date closed, meas date, posting date,"
            " recorded at, timestamp, time stamp,"
            " fecha de realizacion, terminado, gereed op, afgerond op, datum gereed"
        ),
        "hours": (
            "hours, hrs, meter, meters, meter hrs, meter hours, hour meter, hourmeter, meter"
            " reading, hour meter reading, hours on meter, engine hours, machine hours, reading,"
            " clock, clock hours, run hours, end hours, hours end, end, meter end, end meter,"
            " finish, closing hours, hours at end, betriebsstunden, betriebsstd, std, stunden,"
            " zahler, zahlerstand, zaehlerstand, bh, stundenzahler, ende, stand, compteur,"
            " heures, horametre, releve, compteur horaire, fin, horometro, horas, contador,"
            " hours total, total hours, total runtime, operating hours, cumulative hours,"
            " counter, counter reading, betr std, gesamtstunden, stunden gesamt, heures totales,"
            " total heures, horas totales, total horas, totaal uren,"
            " hr mtr, hrs mtr, running time, running hours, hours at change, hours at service,"
            " meter at change, meter at service, urenstand, lectura, urenteller, uren,"
            " tellerstand, teller, draaiuren, eind, einde, eindstand"
        ),
        "start": (
            "start, start hours, hours start, start meter, meter start, opening hours, hours at"
            " start, begin, beginn, anfang, anfangsstand, debut, heures debut, inicio, horas"
            " inicio, beginstand"
        ),
        "run": (
            "run, run hours, hours run, hours this week, hours worked, hours used, weekly hours,"
            " hours today, hours per shift, runtime, run time, laufzeit, laufstunden,"
            " einsatzstunden, stunden gelaufen, heures de marche, heures effectuees, horas"
            " trabajadas, horas de uso, gedraaide uren, gewerkte uren, duration"
        ),
        "did": (
            "work, work done, job, jobs, task, remark, remarks, note, notes, comment, comments,"
            " service, service performed, work performed, what was done, details, description,"
            " repair, repairs, maintenance, intervention, interventions, travaux, travail,"
            " remarques, remarque, arbeiten, arbeit, tatigkeit, bemerkung, bemerkungen,"
            " massnahme, durchgefuhrte arbeiten, trabajo, trabajos, observaciones, notas, tarea,"
            " job done, jobs done, resolution, work carried out, action taken, job description,"
            " ausgefuhrte arbeiten, travaux effectues, travaux realises, trabajo realizado,"
            " trabajos realizados,"
            " opmerking, opmerkingen, werkzaamheden, uitgevoerd werk, werk"
        ),
        "position": (
            "position, where, part changed, location on machine, component, part, place, item,"
            " object part,"
            " stelle, lage, einbauort, bauteil, teil, emplacement, piece, organe, posicion,"
            " pieza, componente, lugar, positie, plaats, onderdeel"
        ),
        "action": (
            "action, what, done, work, work done, activity, activity code,"
            " action code, aktion, massnahme, tatigkeit,"
            " arbeit, operation, travail, accion, trabajo, operacion, actie, handeling"
        ),
        "cause": (
            "cause, why, reason, failure reason, failure, condition, cause code,"
            " damage code, grund, ursache, motif,"
            " raison, motivo, causa, razon, reden, oorzaak"
        ),
        "only": (
            "status, state, wo status, order status, system status, user status, job status,"
            " ticket status, status code, auftragsstatus, zustand, statut, etat,"
            " estado, situacion, toestand"
        ),
        "pieces": (
            "qty, quantity, pieces, pcs, no of pieces, menge, stuck, anzahl, stk, quantite, qte,"
            " nombre, cantidad, cant, aantal, stuks"
        ),
    }.items()
}
"""Headings; the same word may head several columns of ours where its cells decide."""
BOUGHT = frozenset(
    by_word(
        {
            "": (
                "invoice, invoice no, invoice date, unit price, price, total, amount, supplier,"
                " vendor, rechnung, rechnungsdatum, preis, einzelpreis, lieferant, betrag,"
                " facture, prix, prix unitaire, fournisseur, montant, factura, precio, proveedor,"
                " importe, factuur, prijs, leverancier, bedrag, order date, purchase date, po,"
                " po no, purchase order, date ordered, invoice number"
            )
        }
    )
)
"""Headings of purchases, which say what was bought and never what was worn."""
PURCHASES = frozenset(
    by_word(
        {
            "": (
                "purchases, purchased, ordered, invoices, bestellungen, bestellt, rechnungen,"
                " achats, commandes, factures, compras, pedidos, facturas, inkoop, bestellingen,"
                " facturen"
            )
        }
    )
)
"""Words in the name of a sheet or file of purchases."""
AHEAD = frozenset(
    by_word(
        {
            "": (
                "planned, plan, due, next, scheduled, target, geplant, geplante, fallig, nachste,"
                " nachster, soll, prevu, prevue, prochain, prochaine, echeance, previsto, prevista,"
                " proximo, proxima, programado, programada, gepland, volgende"
            )
        }
    )
)
"""Words in the heading of a day on which something is to be done."""
WEAK_MACHINES = frozenset(
    {"no", "nr", "number", "nummer", "numero", "num", "n", "id", "name"}
) | frozenset(
    by_word({"": "serial no, serial number, serial, s n, seriennummer, serien nr, no de serie"})
)
"""Headings of the machine where no other heading is."""
SITES = frozenset(
    by_word(
        {
            "": (
                "site, building, location, hall, depot, station, standort, gebaude, halle, werk,"
                " objekt, lieu, batiment, edificio, sede, centro, locatie, gebouw"
            )
        }
    )
)
"""Headings of the place that numbers its machines for itself."""
ENDS = frozenset(
    by_word({"": "end, end hours, hours end, finish, ende, fin, eind, einde, stop, closing hours"})
)
"""Headings of a meter at the end of a shift, unless they are times of day."""
METERS = frozenset(
    by_word(
        {
            "": (
                "meter, hourmeter, clock, zahler, zahlerstand, stundenzahler, compteur, horametre,"
                " horometro, contador, urenteller, tellerstand, teller"
            )
        }
    )
)
"""Words in a heading that mean the hour meter and nothing else."""
YEARS = frozenset({"year", "jahr", "annee", "ano", "jaar"})
"""Headings of the year beside a week or a month."""
NUMBERED = by_word(
    {
        "53": "week, wk, w, cw, kw, week no, week nr, woche, kalenderwoche, semaine, semana",
        "31": "day, date, tag, datum, jour, dia, fecha, dag",
    }
)
"""Headings of bare numbers, and the largest such number."""
