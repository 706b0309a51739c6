"""Texts of the desk: stored plans, links, files, the printed sheet and a club's order."""

ENGLISH = {
    "notice.label": "Your plans",
    "notice.two": "{one} {other}",
    "notice.dismiss": "Close this message",
    # Kept plans
    "keep.title": "Plans on this device",
    "keep.none": "Nothing is kept yet. Your first change starts a plan that is kept here.",
    "keep.gist": "{title}, kept {at}",
    "keep.gist_none": "nothing kept yet",
    "keep.not_yet": "not kept yet",
    "keep.intro": "Each change is kept in this browser at once. The name is set under “{field}”.",
    "keep.new": "Start a new plan",
    "keep.in_hand": "open now",
    "keep.open": "Open",
    "keep.open_this": "Open {title}",
    "keep.forget": "Remove",
    "keep.forget_this": "Remove {title} from this device",
    "keep.forget_sure": "Remove “{title}” and its earlier states from this device?",
    "keep.copy": "Keep a copy as a new plan",
    "keep.copy_title": "{title} (copy)",
    "keep.own_title": "{title} (from this tab)",
    "keep.copied": "“{title}” is kept on this device and is the plan open now.",
    "keep.forgotten": "“{title}” is removed from this device.",
    "keep.still_open": "It stays on the page; the next change keeps it again.",
    "keep.forget_all": "Forget everything on this device",
    "keep.forget_all_sure": (
        "Remove every plan and every earlier state that this page keeps on this device? This cannot"
        " be undone."
    ),
    "keep.what": (
        "This browser keeps your plans with up to {count} earlier states of each, which plan is"
        " open, the link you opened last until you copy or leave it, the language and units you"
        " chose, what you typed last until it is answered, and the page as you saw it last. All of"
        " that goes with “{button}”. Besides, where it can, it keeps the page’s own files, so that"
        " it opens without a network; nothing of yours is in them."
    ),
    "keep.all_forgotten": "Nothing of yours is kept on this device any more.",
    "keep.unreadable": "A plan that cannot be read",
    "keep.cannot_read": "That plan cannot be read; it is left as it is on this device.",
    "keep.cannot_show": "“{title}” is damaged and cannot be shown; it is left as it is.",
    "keep.unreadable_some": (
        "{count} plan kept on this device cannot be read. It is left as it is; it can be removed"
        " below.",
        "{count} plans kept on this device cannot be read. They are left as they are; they can be"
        " removed below.",
    ),
    "keep.state": "That state",
    "keep.gone_elsewhere": (
        "Another tab has removed this plan from the device. It stays on this page; the next change"
        " keeps it again."
    ),
    "keep.theirs": "Another tab has changed “{title}”.",
    "keep.theirs_note": "Nothing is overwritten: if you go on here, both are kept.",
    "keep.take_theirs": "Show what the other tab has",
    "keep.keep_both": "Keep both",
    "keep.both_kept": (
        "Another tab changed the same plan, so both are kept: this one is now “{title}”."
    ),
    "trouble.full": (
        "This browser has no room left to keep your plan. You can go on; save it as a file before"
        " you close the page."
    ),
    "trouble.blocked": (
        "This browser does not let the page keep anything. You can go on; save your plan as a file"
        " before you close the page."
    ),
    "keep.fetching": "Fetching your own plan. Until then you see the example.",
    "past.title": "Earlier states",
    "past.none": "No earlier state yet.",
    "past.back": "Go back",
    "past.back_to": "Go back to before: {what}",
    "past.type": "before changing {what}",
    "past.pressed": "before “{what}”",
    "past.copy": "before copying {what}",
    "past.remove": "before removing {what}",
    "past.undo": "before undoing",
    "past.reset": "before going back to the example",
    "past.empty": "before starting with own prices",
    "past.restored": "before going back",
    "past.merge": "before taking over prices",
    "past.prices": "before taking a price list",
    "undo.prices": "The prices are taken over; Undo takes all of it back.",
    "past.theirs": "before taking what another tab had",
    "past.other": "before a change",
    # From outside
    "offer_from.link": "This link holds the plan “{title}”: {gist}.",
    "offer_from.file": "This file holds the plan “{title}”: {gist}.",
    "offer.gist": "{crops} to raise, {mixes} on the shelf",
    "offer.crops": ("{count} crop", "{count} crops"),
    "offer.mixes": ("{count} mix", "{count} mixes"),
    "offer.own": "Your own plan is untouched. What would you like to do with it?",
    "offer_act.look": "Look at it",
    "offer_act.copy": "Keep a copy",
    "offer_act.merge": "Take its prices into mine",
    "offer_act.leave": "Leave it",
    "looking.said": "You are looking at “{title}”. Changes to it are not kept.",
    "looking.own": "Back to my own plan",
    "looking.copy": "Keep a copy",
    "merge.done": "Prices changed: {changed}. Packages added: {added}.",
    "merge.unknown": "Not on your shelf, so left out: {names}.",
    "merge.currency": (
        "Its prices are in {theirs} and yours in {mine}, so nothing was taken over."
    ),
    # To others
    "share.title": "Link and QR code",
    "share.gist": "send the whole plan in one address",
    "share.intro": (
        "The whole plan stands after the # of the address, which browsers do not send to a server."
    ),
    "share.make": "Make a link",
    "share.made": "Link to this plan",
    "share.length": "{count} characters.",
    "share.complete": "It holds the last complete entries.",
    "share.stale": "The plan has changed since; make the link again to send it as it is now.",
    "share.local": (
        "This page is a file on your own device, so its address opens only here. Whoever has the"
        " page too can paste the link, or what the QR code says, under “Open a link that you were"
        " sent”."
    ),
    "share.copy": "Copy the link",
    "share.copied": "The link is copied. Paste it into a message or a page.",
    "share.press": (
        "This browser does not let the page copy. The link is selected: copy it with Ctrl+C or ⌘C,"
        " or hold a finger on it and choose Copy."
    ),
    "share.qr": "QR code of the link to “{title}”",
    "share.no_qr": (
        "This link is too long for a QR code, which holds {most} characters. Send it as text, or"
        " send the plan as a file."
    ),
    "share.nothing": "There is no answer yet: fill in what is needed first.",
    "share.open": "Open a link that you were sent",
    "share.open_label": "Link to a plan",
    "share.open_do": "Open the link",
    # Files
    "file.title": "Files",
    "file.gist": "save, open, spreadsheets, charts",
    "file.save": "Save the plan as a file",
    "file.open": "Open a plan from a file",
    "file.csv": "For a spreadsheet (CSV)",
    "file.results": "The comparison",
    "file.shopping": "The shopping list",
    "file.charts": "The charts of the crop shown",
    "file.chart": "{chart} as {kind}",
    "chart_file.chart-cost": "Cost of one seedling",
    "chart_file.chart-steps": "Cost at the till",
    "file.too_long": "{name} is longer than {most} characters, so it was not opened.",
    "file.unusable": "{name} holds no plan that can be used: {faults}.",
    "file.unusable_more": (
        "{name} holds no plan that can be used: {faults}; and {count} more.",
        "{name} holds no plan that can be used: {faults}; and {count} more.",
    ),
    "file.number": "a number is too large",
    "offer.too_large": (
        "This plan is too large for this page: {rows} rows of entries and {pairs} pairs of crop and"
        " mix. The page takes at most {most_rows} and {most_pairs}; the command line takes more."
    ),
    # Price list
    "prices.title": "Prices from a list",
    "prices.gist": "paste from a spreadsheet, or open a CSV file",
    "prices.intro": (
        "Any order of columns: shop, item, size with unit, price. You see what was understood"
        " before anything is taken."
    ),
    "prices.label": "Price list",
    "prices.file": "Or a CSV file",
    "prices.read": "Read the list",
    "prices.caption": "Understood: {count}",
    "prices.aside": "Left out: {count}, each with the reason",
    "prices.aside_more": ("and {count} line more", "and {count} lines more"),
    "prices.more": (
        "{most} rows are shown, what is on your shelf first; only these can be taken. {count} row"
        " more is left out.",
        "{most} rows are shown, what is on your shelf first; only these can be taken. {count} rows"
        " more are left out.",
    ),
    "prices.ask": (
        "Some prices are marked {others}, and your plan is in {currency}: they are not ticked. Are"
        " these numbers right in {currency} as they stand?"
    ),
    "prices.mean": "Yes, tick them",
    "prices.other": "{price} ({sign})",
    "prices.yield_kept": "Makes {yields}, as the same goods on your shelf do.",
    "prices.tick": "Take {item}, {size}",
    "prices.line": "Line {line}",
    "prices_head.tick": "Take",
    "prices_head.item": "Item",
    "prices_head.size": "Package",
    "prices_head.price": "Price",
    "prices_head.store": "Shop",
    "prices_head.becomes": "Becomes",
    "becomes.known": "on your shelf",
    "becomes.new": "a new mix",
    "becomes.lacks": "a new mix; how much it makes is still to be told",
    "becomes.feed": "a feed other than yours: left out",
    "prices.take": "Take what is ticked",
    "prices.leave": "Leave them",
    "prices.refused": "The list could not be read: {why}",
    "prices.too_long": "the file is too long",
    # Print
    "print.title": "A handout to pin up",
    "print.intro": (
        "What to buy, what to sow and when, the blend and the feed by the bucket, cautions, and a"
        " QR code that opens the plan: one side of paper."
    ),
    "print.do": "Print the handout",
    "sheet.label": "Page for the printer",
    "sheet.made": "Printed on {day} with Pennyflat, from your own entries.",
    "sheet.made_order": "Worked out with Pennyflat, from the members' own entries.",
    "sheet.shopping": "What to buy",
    "sheet.pay": "To pay: {total}",
    "sheet.trips": "trips of {trips} included",
    "sheet.sowing": "What to sow, and when",
    "sheet.sowing_year": "What to sow, and when in {year}",
    "sheet_head.crop": "Crop",
    "sheet_head.mix": "Mix",
    "sheet_head.cells": "Cells",
    "sheet_head.seeds": "Seeds",
    "sheet_head.sow": "Sow on",
    "sheet_head.pot_on": "Pot on",
    "sheet_head.feed": "Feed from",
    "sheet_head.out": "Plant out",
    "sheet.wanted": "{wanted} {crop}",
    "sheet.unfed": "no feed",
    "sheet.before": ("{weeks} week before", "{weeks} weeks before"),
    "sheet.week": ("{weeks} week on", "{weeks} weeks on"),
    "sheet.pot_on": "{when}: {medium}",
    "sheet.sure": "Sown so that in {share} of 100 cases there are enough.",
    "sheet.expected": "Sown for the expected number only.",
    "sheet.recipes": "The blend, by the bucket",
    "sheet.recipe": "{blend}: {parts}, all loose, make {makes} buckets.",
    "sheet.part": ("{count} bucket of {ingredient}", "{count} buckets of {ingredient}"),
    "sheet.addition": "{amount} of {ingredient}",
    "sheet.stir": "Stir {additions} into each bucket ({bucket}) of it.",
    "sheet.to_mix": (
        "This plan takes {mix}: {buckets} bucket of {bucket}.",
        "This plan takes {mix}: {buckets} buckets of {bucket}.",
    ),
    "sheet.feed": "The feed",
    "sheet.dose": "{feed}: {amount} to a bucket of water ({bucket}), that is {dose}.",
    "sheet.give": (
        "Give each cell {each}, {times} time a week.",
        "Give each cell {each}, {times} times a week.",
    ),
    "sheet.cautions": "Safety",
    "sheet.caution": "{action}: {advice}.",
    "sheet.scan": "Scan to open the plan",
    "sheet.scan_local": "Scan, then paste it under “Open a link” on the page",
    "sheet.no_code": (
        "The plan is too long for a QR code. Ask whoever printed this for its link or its file."
    ),
    # A club's order
    "order.title": "A club's order",
    "order.gist": "several plans, one order, a fair split",
    "order.intro": (
        "One order at the least money for all, mixes chosen together. What that saves is divided;"
        " nobody pays more than alone, or else it is said who does better alone. A link that is"
        " pasted is added at once."
    ),
    "order.own": "Add this plan",
    "order.link": "A member's link",
    "order.add_link": "Add the link",
    "order.file": "Members' files",
    "order.members": "Members",
    "order.remove": "Take out",
    "order.remove_this": "Take out {title}",
    "order.few": "Add two members or more.",
    "order.split": "Who pays what",
    "order_head.member": "Member",
    "order_head.goods": "Goods",
    "order_head.trips": "Share of trips",
    "order_head.pays": "Pays",
    "order_head.besides": "Uses more at home",
    "order_head.alone": "Alone",
    "order_head.saves": "Share of the saving",
    "order.divide": "What is saved is divided",
    "order_split.shapley": "by what each adds to the cost (Shapley value)",
    "order_split.equal": "equally",
    "order.impossible": "not to be had alone",
    "order.together": "Together",
    "order.list": "What to buy together",
    "order.goes": "trip {trip}: {names}",
    "order.fetches": "fetched by {names}",
    "order.pick_up": "Who takes what",
    "order.takes": "{item}: {amount}",
    "order.takes_left": "{item}: {amount} ({left} of it left over)",
    "order.from": "{what}, from {stores}",
    "order.unmet": "Cannot be had: {amount} of {item}.",
    "order_csv.order": "Order as CSV",
    "order_csv.payments": "Payments as CSV",
    "order_csv.pick_up": "Pick-up sheet as CSV",
    "order.print": "Print order and pick-up sheet",
    "order.sheet": "Order and pick-up sheet",
}
