"""Scripts of our own to be read into memos, and what people say between their lines.

Short lines, lines that come twice and lines that differ by a word are there on purpose: scripts are like that.
``CHOSEN`` and ``REPORTED`` are English, one for choosing and one for reporting; ``KEPT`` holds the two that were not
looked at while anything was chosen (English, Portuguese), ``KEPT_AGAIN`` two more. In other languages the lines are those of
``foreign_lines`` with the short ones of ``SHORT`` strewn in.
"""

from __future__ import annotations

from foreign_lines import CONFIRM, FOREIGN

CHOSEN = """Look, Bram! The sea is going away again.
Again?
It goes out twice a day, and twice a day it comes back.
But where does the sea go?
I counted seven shells on the sand this morning.
Seven? I counted eight.
Where does all that water go when it leaves us?
The moon pulls the water, gently, all the way around the world.
Oh!
Hold on tight to your rock, little limpet!
One, two, three, four, five, six waves before lunch.
Oh no, my bucket has a hole in it!
Can you hear the gulls calling over the harbor?
I am not afraid of the dark, but I like the light better.
When the tide is low, we can walk to the other side.
Wait for me!
Yesterday a starfish fell asleep on my roof.
That is the funniest thing I have ever heard.
But where does the sea go?
My house is on my back, so I am always at home.
Wait for me, I have only got ten legs!
Did you know that a crab can walk sideways?
Good night, moon, and good night, sleepy waves.
Goodbye, everyone, we will see you at high tide.""".splitlines()

REPORTED = """Good morning, Bram. Did the storm wake you?
Not at all. I slept like a stone.
Stones do not snore.
Tansy found a tiny spoon stuck in the wet sand.
A spoon?
A very small spoon, for a very small soup.
Would you mind if I borrow your ladder for an hour?
Take it, but bring it back before the tide does.
The clouds are grey, but the water is still warm.
Every morning I sweep the steps with a feather.
Yes, please!
You must not pull on the rope until I tell you.
Now?
Not now.
If we hurry, we might catch the last ray of sun.
What is that noise at the bottom of the well?
It rained all night, and now the path is gone.
A spoon?
Turn the key slowly, then open the box with both hands.
There is room for one more at the end of the bench.
I can hold my breath for as long as a song.
Do you want the red cup or the yellow one?
The yellow one.
They danced on the dock until the lantern went out.
Take a deep breath and jump over the next wave.
That was the best supper I have had in a week.""".splitlines()

KEPT = {
    "en": """Who left this enormous boot on my beach?
It was not me.
It smells of fish and old rope.
Everything here smells of fish.
Let us ask the gull on the chimney.
Hello up there!
Gull, have you lost a boot?
I have wings, so why would I need boots?
That is a very good point.
Perhaps it fell from a passing ship last night.
Or perhaps a giant is hopping home on one foot.
A giant?
Do not be silly, giants live in the mountains.
We could plant flowers in it and call it a garden.
We could fill it with water and call it a bath.
We could sleep in it and call it a bed.
Listen, something is moving inside!
You look.
No, you look.
It is only a little hermit crab with a big idea.
This boot is my castle, and you are standing in my yard.
We are terribly sorry, your majesty.
Come in, both of you, and close the laces behind you.
So that is how the boot got a king.""".splitlines(),
    "pt": """Quem deixou esta bota enorme na minha praia?
Não fui eu.
Ela tem cheiro de peixe e de corda velha.
Aqui tudo cheira a peixe.
Vamos perguntar à gaivota da chaminé.
Oi, você aí em cima!
Gaivota, você perdeu uma bota?
Eu tenho asas, para que preciso de botas?
Boa pergunta.
Talvez ela tenha caído de um navio ontem à noite.
Ou um gigante está voltando para casa num pé só.
Um gigante?
Não seja bobo, gigantes moram nas montanhas.
Podemos plantar flores nela e chamar de jardim.
Podemos encher de água e chamar de banheira.
Escuta, alguma coisa se mexeu lá dentro!
Olha você.
É só um caranguejo pequeno com uma ideia grande.
Esta bota é o meu castelo, e vocês estão no meu quintal.
Mil desculpas, majestade.
Entrem, vocês dois, e fechem bem os cadarços.
E foi assim que a bota ganhou um rei.""".splitlines(),
}

# Kept back a second time: for what was chosen after ``KEPT`` had been reported.
KEPT_AGAIN = {
    "en": """Tansy, wake up, the tide has forgotten to come back.
Tides do not forget.
Then why is the harbor as dry as toast?
Hmm.
Fetch your boots, we are going to look for it.
Which way?
Straight on, past the lighthouse and the two tall rocks.
My feet are sinking.
Walk where the sand is ripply, it is harder there.
Is that a whale?
That is a boat lying on its side.
Excuse me, captain, have you seen the sea?
It left at half past nine without saying goodbye.
Did it take the fish along?
Every last one, and the seaweed too.
I miss the sound it makes at night.
Me too.
Hush, do you hear that?
A very long way off, something is whispering.
Run, Bram, run!
It only went to fetch the biggest wave of the year.
Welcome home, you great salty thing.
Next time, please leave us a note.
And that is why there is a letter box on our beach.""".splitlines(),
    "es": """Despierta, Bram, la marea se olvidó de volver.
Las mareas no se olvidan.
¿Entonces por qué está seco el puerto?
Trae tus botas, vamos a buscarla.
¿Por dónde?
Todo recto, después del faro y de las dos rocas altas.
Se me hunden los pies.
¿Eso es una ballena?
Es un barco tumbado de lado.
Perdone, capitán, ¿ha visto usted el mar?
Se fue a las nueve y media sin decir adiós.
¿Se llevó también los peces?
Hasta el último, y las algas también.
Echo de menos el ruido que hace por la noche.
Yo también.
Calla, ¿no oyes algo?
Muy lejos de aquí alguien está susurrando.
¡Corre, Bram, corre!
Solo fue a buscar la ola más grande del año.
La próxima vez, déjanos una nota.""".splitlines(),
}

SHORT = {
    "pt": ("Uau!", "Oh não!", "Olha só!", "Vamos lá!"),
    "es": ("¡Vaya!", "¡Oh no!", "¡Mira!", "¡Vamos!"),
    "fr": ("Oh là là!", "Mais non!", "Regarde!", "On y va!"),
    "de": ("Oh je!", "Na so was!", "Schau mal!", "Los geht's!"),
    "it": ("Mamma mia!", "Oh no!", "Ma guarda!", "Andiamo!"),
}

# What a reader says to somebody else, or to nobody.
CHATTER = {
    "en": """Hang on, is this thing recording?
Sorry, that was the dog.
Can somebody please shut the door.
All right, from the top of the page.
No, wait, I said that wrong.
Right, next one.
Where was I? Ah, there.
I think that one was better.""".splitlines(),
    "pt": ["Espera aí, está gravando?", "Desculpa, foi o cachorro.", "Fecha a janela, por favor.", "Tá, a próxima."],
    "es": ["Espera, ¿está grabando?", "Perdón, era el perro.", "Cierra la ventana, por favor.", "Bueno, la siguiente."],
    "fr": ["Attends, ça enregistre?", "Pardon, c'était le chien.", "Tu peux fermer la fenêtre?", "Bon, la suivante."],
    "de": ["Moment, läuft das schon?", "Tut mir leid, das war der Hund.", "Mach bitte das Fenster zu.", "Gut, der nächste."],
    "it": ["Aspetta, sta registrando?", "Scusa, era il cane.", "Chiudi la finestra, per favore.", "Bene, la prossima."],
}  # fmt: skip


def script(language: str, half: str) -> list[str]:
    """Return the lines of a language's script for a ``half``: "chosen", "reported", "kept" or "kept again"."""
    if half in ("kept", "kept again"):
        return (KEPT if half == "kept" else KEPT_AGAIN)[language]
    if language == "en":
        return CHOSEN if half == "chosen" else REPORTED
    lines = (FOREIGN if half == "chosen" else CONFIRM)[language][1].splitlines()
    for number, short in enumerate(SHORT[language]):
        lines.insert(3 + 6 * number, short)
    return lines
