/** What the server has answered with: something new or changed, or what has been deleted. */
export type News<Item> = Item | { readonly deletedId: string };

/** A list of what is stored once the news is in; undefined: the list has not been read yet. */
export function listWithNews<Item extends { readonly id: string }>(
  list: Item[] | undefined,
  news: News<Item>,
): Item[] | undefined {
  if (!list) return list;
  if ('deletedId' in news) return list.filter(({ id }) => id !== news.deletedId);
  return list.some(({ id }) => id === news.id)
    ? list.map((item) => (item.id === news.id ? news : item))
    : [...list, news];
}
