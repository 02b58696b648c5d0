"""How English scripts name songs, waits, sounds and what stands around a script: common practice, from memory."""

from __future__ import annotations

from timing.language.script_words import ScriptWords

_FACTS = (
    *"title episode series author date draft version language duration length runtime setting characters time theme "
    "audience note contact copyright summary synopsis logline".split(),
    "written by", "episode title", "working title", "draft date", "by", "target audience", "target age",
)  # fmt: skip

SCRIPT_WORDS = ScriptWords(
    numbers=tuple("one two three four five six seven eight nine ten".split()),
    counts={"twice": 2, "thrice": 3},
    times="times time",
    last="last final",
    twofold="double",
    again="repeat repeats repeated repeating again back same reprise",
    little="the to",
    the="the",
    everybody="all everyone everybody together both",
    persons="i you he she we they",
    begins_clause="it and but so then if when because look please this that there here",
    joint="and",
    song="song",
    sings="sings?|singing|sung",
    song_of="of|about",
    lyrics="lyrics|song title",
    song_ends=(
        r"(?:the\s+)?(?:song|music|singing)\s+(?:ends?|stops?|fades?(?:\s+out)?|is over)"
        r"|end(?:s|ing)?\s+(?:of\s+)?(?:the\s+)?song"
    ),
    parts={
        "chorus": "chorus refrain hook",
        "verse": "verse stanza",
        "pre-chorus": "pre-chorus prechorus",
        "bridge": "bridge",
        "intro": "intro introduction",
        "outro": "outro coda",
    },
    again_pairs=("one more time", "once more", "back to"),
    seconds="s|secs?|seconds?",
    full="full|whole|good|long",
    articles="a|an",
    long="long|longer",
    short="short|brief|small|little",
    pause="pause|pauses|pausing|silence|beat",
    waiting="waits?|waiting",
    listening="listens?|listening",
    answers=(r"answers?|respon[ds]e?s?|respond\w*|reply|replies|child(?:ren)?|kids|viewers?|audience|public"),
    room="time",
    to_me="me|i|you|we|us|let['’]s",
    sound="sfx|fx|sounds?(?: effects?)?",
    music="music",
    told_sound="(?:the )?sounds? of .+|.+ sounds?(?: effect)?",
    told_music=(
        r"(?:[\w'’-]+ ){0,4}(?:music|jingle)(?: (?:plays?|playing|starts?|begins?|swells?|fades?|"
        r"stops?|ends?|continues|in|up|under)(?: \w+){0,3})?"
    ),
    scene="scene|act|part|chapter",
    slide="slide|panel|page",
    ordinals="first|second|third",
    facts={
        **{word: word for word in _FACTS},
        "writer": "author",
        "authors": "author",
        "cast": "characters",
        "place": "setting",
        "location": "setting",
        "age": "audience",
        "notes": "note",
        **dict.fromkeys(("genre", "format", "tone"), "note"),
    },
    opening="sure|of course|certainly|absolutely|great|okay|ok|got it|here(?:['’]s| is| are)|below is",
    about="scripts?|episodes?|scenes?|songs?|lyrics|dialogues?|story|stories|version|draft",
    closing=(
        r"(?:would|do) you (?:like|want)|want me to|shall i|should i|let me know|if you(?:['’]d| would)? (?:like|want)|"
        r"i hope (?:this|you)|hope (?:this|you)|feel free|i can also|happy to"
    ),
    end_mark=r"(?:the\s+)?end(?: of (?:script|episode|scene))?|fade to black|curtain",
    figures=(
        r"(?:total )?(?:word|page) count|(?:total |approximate |estimated )?(?:run(?:ning)?[ -]?time|length|duration)|"
        r"(?:approx\w*|about|~)\W*\d+ (?:words|minutes|seconds)"
    ),
    notes=(
        r"(?:production|director['’]?s?|animation|animator['’]?s?|voice|performance|teacher['’]?s?|parent['’]?s?|"
        r"teaching|educational|staging|additional|final|extra)?\s*(?:notes?|tips?|suggestions?|objectives?|"
        r"goals?)(?: (?:for|on|about) .+)?|"
        r"why (?:this|it) works|learning (?:goals|objectives|outcomes)|key (?:messages?|takeaways?)|props(?: list)?"
    ),
    cast=r"(?:the )?(?:main )?(?:characters?|cast(?: list| of characters)?|dramatis personae|voices)",
)
