"""Lines of our own in other languages, 24 each, for the benchmark of listening: one voice name, then the lines."""

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
}  # fmt: skip
