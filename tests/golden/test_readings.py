"""How each language reads a page of text: every word's syllables, stress and sounds, against what a person approved.

``python -m tests.golden readings`` writes it anew. Syllables in capitals are stressed; sounds are ARPABET's, as near as
each language comes to them.
"""

from __future__ import annotations

from pathlib import Path

import pytest

from timing.language import read_line

FOLDER = Path(__file__).parent / "expected" / "readings"
TEXTS = {
    "fr": """
        Il était une fois un crabe qui vivait sous un vieux rocher, près de la grève.
        « Où s'en va la mer ? » demanda-t-elle, l'œil brillant, en regardant les bateaux s'éloigner.
        Les enfants chantaient, les goélands criaient, et l'eau montait tranquillement jusqu'aux pieds.
        Aujourd'hui, quatre-vingt-dix-neuf coquillages et vingt et un poissons dorment dans la baie.
        Ma grand-mère habite à l'île, derrière l'église ; elle mange du pain, des œufs et du fromage.
        Nous voyageons souvent quand le soleil se lève ; ils mangent, parlent et jouent ensemble.
        Quelle montagne ! Chut, écoute l'agneau, la grenouille, l'abeille et le petit écureuil.
        Un grand ami, les beaux yeux, six heures, dix amis, cent euros, tous les huit, trop aimable.
        Payer, essuyer, le noyau, la fouille, le seuil, l'orgueil, cueillir, Noël, haïr, aiguë, Saül.""",
    "es": """
        Había una vez un cangrejo que vivía debajo de una roca vieja, junto a la playa.
        ¿Adónde se va el mar?, preguntó ella, y el murciélago miró los barcos alejarse despacio.
        Los niños cantaban, las gaviotas chillaban y el agua subía tranquilamente hasta los pies.
        Hoy veintiún peces y treinta y una estrellas duermen en la bahía; ¡qué vergüenza, pingüino!
        Mi abuelo guía el buey; vosotros cantáis, averiguáis y oís la guitarra del jilguero.
        El héroe leyó el examen, construyó un puente, exigió justicia y huyó del ruido hacia Europa.
        Ahora lo prohíbo: el ahogo, el búho, la almohada, el xilófono, México y el rey de las reinas.
        Dámelo, cógeselo rápidamente; él sólo quería más té, según el café de Perú.""",
    "pt_BR": """
        Era uma vez um caranguejo que morava debaixo de uma pedra velha, perto da praia.
        — Para onde vai o mar? — perguntou ela, e o coração do peixinho bateu mais depressa.
        As crianças cantavam, as gaivotas gritavam e a água subia tranquilamente até os pés.
        Hoje vinte e duas estrelas e cem conchas dormem na baía; que saudade da minha irmã!
        Os balões, os pães, as mãos, os anéis, o herói, o céu, o chapéu, ruim, raiz, baú, saíram.
        Quando choveu, o guarda-chuva quebrou; ninguém quis exame, táxi, máximo ou próximo exercício.
        Ele trouxe queijo, guitarra, linguiça, quatro quilos de milho e uma espinha de peixe.
        Dá-me a mão, conta-lhe tudo, vê-lo-ei amanhã; o pneu, o ritmo, o advogado e o psicólogo.""",
    "pt_PT": """
        Era uma vez um caranguejo que vivia debaixo de uma pedra velha, perto da praia.
        Para onde vai o mar? perguntou ela, e os meninos deitaram-se na areia quente da tarde.
        Às dezasseis horas, dezanove estrelas adormeceram; que saudades da minha irmã!""",
    "it_IT": """
        C'era una volta un granchio che viveva sotto una vecchia roccia, vicino alla spiaggia.
        «Dove va il mare?» chiese lei, e il gabbiano guardò le barche allontanarsi piano piano.
        I bambini cantavano, l'acqua saliva tranquillamente, e gli uccelli volavano lassù.
        Oggi ventun pesci e trentotto conchiglie dormono nella baia; perché no? Così è la vita.
        Lo gnomo sciava, la scimmia mangiava ciliegie, l'aquila cercava il ghiro e lo zaino.
        Che bello! Guarda il fuoco, il buio, l'aiuola, la paura, la farmacia, l'energia e gli zii.
        Dimmelo subito: quest'anno all'ombra dell'albero c'è un po' d'acqua, quassù e laggiù.
        Il poeta, l'oceano, l'eroe, la teoria, l'aereo, l'Europa, il pneumatico e lo psicologo.""",
    "de_DE": """
        Es war einmal eine Krabbe, die lebte unter einem alten Felsen, nahe am Strand.
        „Wohin geht das Meer?“, fragte sie, und die Möwe schaute den Schiffen langsam nach.
        Die Kinder sangen, das Wasser stieg allmählich, und der Schmetterling setzte sich hin.
        Heute schlafen einundzwanzig Fische und sechsundsiebzig Muscheln in der Bucht.
        Das Eichhörnchen, die Geburtstagstorte, der Apfelbaum, das Frühstücksei, die Straßenbahn.
        Verstehen, entdecken, beginnen, erzählen, zerbrechen, gefallen, studieren, telefonieren.
        Die Musik, die Natur, das Museum, die Idee, der Elefant, die Familie, die Nation, der Papagei.
        Zwölf Füchse bellen; Xaver quakt; Philipp und Christoph haben Angst vor der Psychologie.""",
    "nl_NL": """
        Er was eens een krab die onder een oude rots woonde, dicht bij het strand.
        "Waar gaat de zee heen?" vroeg ze, en de meeuw keek de schepen langzaam na.
        De kinderen zongen, het water steeg rustig, en de vlinder ging zitten op een bloempje.
        Vandaag slapen eenentwintig vissen en zesenzeventig schelpen in de baai.
        De vuurtoren, de regenboog, het konijntje, de papegaai, de leeuw, het nieuws, de reuzen.
        Begrijpen, ontdekken, vertellen, herinneren, gevonden; vrolijke, moeilijk, twintig, de idee\u00ebn.""",
    "en_US": """
        Once upon a time a little crab lived beneath an old, grumpy rock, not far from the shore.
        "Where does the sea go?" she asked; the seagull watched the boats drift slowly away.
        Ev'ry child was singin', o'er and o'er, and the water rose quietly to their twenty-one toes.
        Tansy's friend couldn't've known: they'd have to squelch through mud, splish-splash, hooray!
        The tidepool creatures — anemones, barnacles, periwinkles — yawned, stretched and snoozled.
        I read it yesterday; we live by the live wire; a tear, a bow, the wind, to lead, the lead pipe.
        Mmm, sooooo yummy! Wheee! Psst... zzz. Brrr! Ha-ha-ha, uh-oh, a-ha, la-la-la.
        Frondle the ploop, a grumbly whiffle, squizzled past the blorp; dringlers yompered splendiferously.
        Zyxxo and Quagmirey, Tansywick's gloopiest shnuffles, re-frizzed, unsquonked and overthrimbled.
        'Twas heav'n: ne'er, e'en, gath'ring, list'ning, mem'ry, flow'r, pow'r, th'other, d'you, y'all'd've, it'd.
        Seashells' and shellfishes', the boss's, the Joneses, James', boats', fishes, judged, wanted, walked, begged.
        Dr. Pebble's O.K. on TV at 7 a.m.; her ID is XK-47, and it cost $3.05 or 50%.""",
}


def reading(text: str, language: str) -> str:
    rows = []
    for line in text.strip().splitlines():
        rows.append(f"# {line.strip()}")
        for word in read_line(line.strip(), language).words:
            pieces = "-".join(s.text.upper() if s.stress == 1 else s.text for s in word.syllables)
            sounds = " . ".join(" ".join(s.phones) for s in word.syllables)
            marks = " little" * word.is_function + " emphasised" * word.is_emphasised
            rows.append(f"{pieces} | {sounds} | {word.break_after.name.lower()}{marks}")
    return "\n".join(rows) + "\n"


@pytest.mark.parametrize("language", TEXTS)
def test_a_page_is_read_as_approved(language: str) -> None:
    wanted = (FOLDER / f"{language}.txt").read_text("utf-8").splitlines()
    assert reading(TEXTS[language], language).splitlines() == wanted


def rewrite() -> None:
    FOLDER.mkdir(parents=True, exist_ok=True)
    for language, text in TEXTS.items():
        (FOLDER / f"{language}.txt").write_text(reading(text, language), encoding="utf-8", newline="\n")
