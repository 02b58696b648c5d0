"""Lines of our own in other languages, for the benchmark of listening: by language one voice name, then the lines.

``FOREIGN``, 24 each: pronunciations were chosen on these. ``CONFIRM``, 24 each, written before any of them was heard:
nothing was chosen on them. They are said by ``OTHER_VOICES`` too: voice, words a minute, pitch from 0 to 99.
"""

from __future__ import annotations

FOREIGN = {
    "pt": ("pt-br", """A maré sobe duas vezes por dia.
O caranguejo mora numa concha muito velha.
Hoje a água está fria e o vento é forte.
Vamos cantar juntos a canção do mar.
Olha, Bram, o mar está indo embora outra vez!
Eu contei sete conchas na areia esta manhã.
Para onde vai toda essa água quando ela nos deixa?
A lua puxa a água devagar, em volta do mundo inteiro.
Segura firme na tua pedra, pequena lapa!
Ai não, o meu balde tem um buraco no fundo!
Você ouve as gaivotas gritando sobre o porto?
Não tenho medo do escuro, mas gosto mais da luz.
Quando a maré está baixa, podemos andar até o outro lado.
Por favor, conta mais uma história.
Ontem uma estrela dormiu no meu telhado.
Essa é a coisa mais engraçada que já ouvi.
Venham todos ver o que achei debaixo das algas.
Minha casa fica nas costas, então estou sempre em casa.
Espera por mim, só tenho dez pernas!
Devagar, devagar, a água passa sobre as pedras.
Os peixes nadam para dentro e nós ficamos aqui.
Abre os olhos e me diz o que você vê.
Boa noite, lua, e boa noite, ondas com sono.
Amanhã a praia vai estar coberta de espuma branca."""),
    "es": ("es", """La marea sube dos veces cada día.
El cangrejo vive en una concha muy vieja.
Hoy el agua está fría y el viento es fuerte.
Vamos a cantar juntos la canción del mar.
Mira, Bram, el mar se va otra vez.
Conté siete conchas en la arena esta mañana.
¿Adónde va toda esa agua cuando nos deja?
La luna tira del agua, despacio, alrededor del mundo.
Agárrate bien a tu roca, pequeña lapa.
¡Ay no, mi cubo tiene un agujero!
¿Oyes las gaviotas gritando sobre el puerto?
No tengo miedo de la noche, pero prefiero la luz.
Cuando la marea está baja podemos caminar al otro lado.
Por favor, cuéntame otra historia.
Ayer una estrella se durmió en mi tejado.
Es la cosa más graciosa que he oído nunca.
Venid todos a ver lo que encontré bajo las algas.
Mi casa está en mi espalda y siempre estoy en casa.
Espérame, solo tengo diez patas.
Poco a poco el agua sube sobre las piedras.
Los peces nadan hacia dentro y nosotros nos quedamos aquí.
Abre los ojos y dime lo que ves.
Buenas noches, luna, y buenas noches, olas dormidas.
Mañana la playa estará cubierta de espuma blanca."""),
    "fr": ("fr", """La mer monte deux fois par jour.
Le crabe habite dans une vieille coquille.
Aujourd'hui la lune brille sur la plage.
Nous allons chanter une chanson ensemble.
Regarde, Bram, la mer repart encore une fois.
Ce matin, sur le sable, je compte sept coquillages.
Où va toute cette eau quand elle nous quitte?
La lune tire la mer, doucement, tout autour du monde.
Tiens bon sur ton rocher, petite patelle!
Oh non, mon seau a un trou!
Tu entends les mouettes crier sur le port?
La nuit ne me fait pas peur, mais je préfère la lumière.
Quand la mer est basse, nous marchons sur la plage.
Raconte encore une histoire, papa.
Hier, une étoile dort sur mon toit.
Voilà la chose la plus drôle du monde.
Venez tous voir ce que je trouve sous les algues.
Ma maison est sur mon dos, donc je reste chez moi.
Attends un peu, je marche sur dix pattes!
Doucement, doucement, la vague passe sur les pierres.
Les poissons nagent au loin et nous restons ici.
Ouvre les yeux et dis ce que tu vois.
Bonne nuit, la lune, et bonne nuit, les vagues.
Demain, la plage sera couverte de mousse blanche."""),
    "de": ("de", """Das Wasser kommt zweimal am Tag zurück.
Der Krebs wohnt in einer alten Muschel.
Heute ist der Wind kalt und das Meer laut.
Wir singen zusammen das Lied vom Mond.
Schau, Bram, das Meer geht wieder weg.
Heute Morgen lagen sieben Muscheln im Sand.
Wohin geht das ganze Wasser, wenn es uns verlässt?
Der Mond zieht das Wasser langsam um die ganze Welt.
Halt dich fest an deinem Stein, kleine Schnecke!
Oh nein, mein Eimer hat ein Loch!
Hörst du die Möwen über dem Hafen rufen?
Ich habe keine Angst im Dunkeln, aber ich mag das Licht.
Bei Ebbe können wir auf die andere Seite gehen.
Bitte erzähl mir noch eine Geschichte.
Gestern schlief ein Seestern auf meinem Dach.
Das ist das Lustigste, was ich je gehört habe.
Kommt alle her und seht, was ich unter dem Tang finde.
Mein Haus ist auf meinem Rücken, also bin ich immer daheim.
Warte auf mich, ich habe nur zehn Beine!
Langsam, langsam kriecht die Flut über die Steine.
Die Fische schwimmen hinein und wir bleiben hier.
Öffne die Augen und sag mir, was du siehst.
Gute Nacht, Mond, und gute Nacht, müde Wellen.
Morgen ist der Strand voll mit weißem Schaum."""),
    "it": ("it", """La marea sale due volte al giorno.
Il granchio abita in una conchiglia molto vecchia.
Oggi l'acqua è fredda e il vento è forte.
Cantiamo insieme la canzone del mare.
Guarda, Bram, il mare se ne va un'altra volta!
Ho contato sette conchiglie sulla sabbia stamattina.
Dove va tutta quell'acqua quando ci lascia?
La luna tira l'acqua piano, intorno al mondo intero.
Tieniti forte al tuo scoglio, piccola patella!
Oh no, il mio secchio ha un buco!
Senti i gabbiani gridare sopra il porto?
Non ho paura del buio, ma preferisco la luce.
Quando la marea è bassa possiamo camminare fino all'altra riva.
Per favore, racconta ancora una storia.
Ieri una stella ha dormito sul mio tetto.
È la cosa più buffa che io abbia mai sentito.
Venite tutti a vedere che cosa ho trovato sotto le alghe.
La mia casa sta sulla mia schiena, quindi sono sempre a casa.
Aspettami, ho soltanto dieci zampe!
Piano, piano, l'acqua passa sopra le pietre.
I pesci nuotano verso la riva e noi restiamo qui.
Apri gli occhi e dimmi che cosa vedi.
Buona notte, luna, e buona notte, onde stanche.
Domani la spiaggia sarà coperta di schiuma bianca."""),
}  # fmt: skip

CONFIRM = {
    "pt": ("pt-br", """Bom dia, Tansy, você dormiu bem na sua concha nova?
A maré subiu tanto que levou o meu castelo.
Cuidado com a onda grande que vem aí!
Eu nunca vi um peixe tão azul.
De onde vem o sal da água do mar?
Todas as manhãs o pescador acorda antes do sol.
Esta pedra é minha e daqui eu não saio.
Quem roubou o sapato do velho marinheiro?
Se a chuva parar, vamos brincar lá fora.
O farol acende e apaga a noite inteira.
Guardei um pedaço de bolo para o seu irmão.
As estrelas do mar não sabem assobiar.
Alguém deixou uma garrafa com uma carta dentro.
Fecha a porta, que está entrando areia!
O vento empurra o barquinho para longe da praia.
Minha avó conhece o nome de todas as conchas.
Não corra, as pedras estão molhadas e escorregam.
Um polvo tem oito braços e três corações.
Acho que ouvi um barulho embaixo da ponte.
Depois do almoço a gente procura caramujos.
Que cheiro bom de pão quente!
Ela canta baixinho e ele dança em cima da mesa.
O inverno acabou e os pássaros voltaram.
Dorme, pequena lapa, que amanhã tem mais."""),
    "es": ("es", """Buenos días, Tansy, ¿dormiste bien en tu concha nueva?
La marea subió tanto que se llevó mi castillo.
¡Cuidado con la ola grande que viene por ahí!
Nunca había visto un pez tan azul.
¿De dónde viene la sal del agua del mar?
Todas las mañanas el pescador se levanta antes que el sol.
Esta roca es mía y de aquí no me muevo.
¿Quién robó el zapato del viejo marinero?
Si deja de llover, saldremos a jugar.
El faro se enciende y se apaga toda la noche.
Guardé un trozo de pastel para tu hermano.
Las estrellas de mar no saben silbar.
Alguien dejó una botella con una carta dentro.
¡Cierra la puerta, que está entrando arena!
El viento empuja el barquito lejos de la playa.
Mi abuela conoce el nombre de todas las conchas.
No corras, las piedras están mojadas y resbalan.
Un pulpo tiene ocho brazos y tres corazones.
Creo que oí un ruido debajo del puente.
Después de comer buscaremos caracoles.
¡Qué bien huele el pan caliente!
Ella canta bajito y él baila encima de la mesa.
El invierno se acabó y los pájaros han vuelto.
Duerme, pequeña lapa, que mañana será otro día."""),
    "fr": ("fr", """Bonjour, Tansy, tu as bien dormi dans ta nouvelle coquille?
La marée est montée si haut qu'elle a emporté mon château.
Attention à la grande vague qui arrive!
Je n'ai jamais vu un poisson aussi bleu.
D'où vient le sel de l'eau de mer?
Tous les matins, le pêcheur se lève avant le soleil.
Ce rocher est à moi et je n'en bouge pas.
Qui a volé la chaussure du vieux marin?
S'il ne pleut plus, nous irons jouer dehors.
Le phare s'allume et s'éteint toute la nuit.
J'ai gardé un morceau de gâteau pour ton frère.
Les étoiles de mer ne savent pas siffler.
Quelqu'un a laissé une bouteille avec une lettre dedans.
Ferme la porte, le sable entre dans la maison!
Le vent pousse le petit bateau loin du bord.
Ma grand-mère connaît le nom de tous les coquillages.
Ne cours pas, les pierres sont mouillées et elles glissent.
Une pieuvre a huit bras et trois cœurs.
Je crois que j'ai entendu un bruit sous le pont.
Après le repas, on cherchera des escargots.
Comme ce pain chaud sent bon!
Elle chante tout bas et il danse sur la table.
L'hiver est fini et les oiseaux sont revenus.
Dors, petite patelle, demain il fera beau."""),
    "de": ("de", """Guten Morgen, Tansy, hast du gut in deinem neuen Haus geschlafen?
Die Flut stieg so hoch, dass sie meine Burg mitnahm.
Pass auf die große Welle auf, die da kommt!
So einen blauen Fisch habe ich noch nie gesehen.
Woher kommt das Salz im Meer?
Jeden Morgen steht der Fischer vor der Sonne auf.
Dieser Felsen gehört mir, und ich bleibe hier.
Wer hat dem alten Matrosen den Schuh gestohlen?
Wenn der Regen aufhört, spielen wir draußen.
Der Leuchtturm geht die ganze Nacht an und aus.
Ich habe deinem Bruder ein Stück Kuchen aufgehoben.
Seesterne können nicht pfeifen.
Jemand hat eine Flasche mit einem Brief verloren.
Mach die Tür zu, sonst weht der Sand herein!
Der Wind schiebt das kleine Boot weit hinaus.
Meine Oma kennt die Namen aller Muscheln.
Lauf nicht, die Steine sind nass und rutschig.
Ein Krake hat acht Arme und drei Herzen.
Ich glaube, unter der Brücke war ein Geräusch.
Nach dem Essen suchen wir Schnecken.
Wie gut das warme Brot riecht!
Sie singt ganz leise, und er tanzt auf dem Tisch.
Der Winter ist vorbei, die Vögel sind zurück.
Schlaf gut, kleine Freundin, morgen ist auch ein Tag."""),
    "it": ("it", """Buongiorno, Tansy, hai dormito bene nella tua conchiglia nuova?
La marea è salita tanto che ha portato via il mio castello.
Attento alla grande onda che arriva!
Non ho mai visto un pesce così azzurro.
Da dove viene il sale dell'acqua del mare?
Ogni mattina il pescatore si alza prima del sole.
Questo scoglio è mio e da qui non mi muovo.
Chi ha rubato la scarpa del vecchio marinaio?
Se smette di piovere, andiamo a giocare fuori.
Il faro si accende e si spegne tutta la notte.
Ho tenuto un pezzo di torta per tuo fratello.
Le stelle marine non sanno fischiare.
Qualcuno ha lasciato una bottiglia con una lettera dentro.
Chiudi la porta, che entra la sabbia!
Il vento spinge la barchetta lontano dalla riva.
Mia nonna conosce il nome di tutte le conchiglie.
Non correre, le pietre sono bagnate e si scivola.
Un polpo ha otto braccia e tre cuori.
Credo di aver sentito un rumore sotto il ponte.
Dopo pranzo cerchiamo le lumache.
Che buon profumo di pane caldo!
Lei canta piano e lui balla sopra il tavolo.
L'inverno è finito e gli uccelli sono tornati.
Dormi, piccola patella, domani è un altro giorno."""),
}  # fmt: skip

OTHER_VOICES = {
    "pt": (("pt", 130, 50), ("pt-br+f2", 175, 60)),
    "es": (("es-419", 130, 50), ("es+f3", 175, 60)),
    "fr": (("fr-be", 130, 50), ("fr-ch+f2", 175, 60)),
    "de": (("de+m3", 130, 40), ("de+f2", 175, 60)),
    "it": (("it+m3", 130, 40), ("it+f2", 175, 60)),
}
