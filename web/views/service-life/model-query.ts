import { queryOptions } from '@tanstack/react-query';
import { fetchModel } from '../../api/model.ts';

export const modelQuery = queryOptions({ queryKey: ['model'], queryFn: ({ signal }) => fetchModel(signal) });
