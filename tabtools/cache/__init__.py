"""Results kept from one run to the next, by the content they were made from.

They are kept in the user's own cache folder, never in a repository: what others contribute cannot get in there. What
is there is trusted as far as the user's other files are, and no further: reading it makes records of ours and plain
values, and calls nothing else. Where nothing can be kept, or what is there is damaged, everything is made anew; nothing
here fails for it, and nothing waits long for another run.
"""
