"""Lines that no rule of hearing was fitted on, to leave out, replace and add words in."""

LINES = """Tansy found a tiny spoon stuck in the wet sand.
Would you mind if I borrow your ladder for an hour?
The clouds are grey, but the water is still warm.
Every morning I sweep the steps with a feather.
My aunt sent us a letter in a bottle from the south.
You must not pull on the rope until I tell you.
A jellyfish came to tea and left a puddle on the chair.
If we hurry, we might catch the last ray of sun.
Behind the old wall there is a garden full of thistles.
He gave me a button, and I gave him a bit of string.
What is that noise at the bottom of the well?
It rained all night, and now the path is gone.
Turn the key slowly, then open the box with both hands.
None of the shells would fit her, so she went without.
There is room for one more at the end of the bench.
She said that the whale had a voice like a trumpet.
I can hold my breath for as long as a song.
Do you want the red cup or the yellow one?
Under the bridge it is dark and as cold as ice.
They danced on the dock until the lantern went out.
Some of my friends live in a crack in the cliff.
The crab on the left is the father of the crab on the right.
Take a deep breath and jump over the next wave.
That was the best supper I have had in a week.""".splitlines()
